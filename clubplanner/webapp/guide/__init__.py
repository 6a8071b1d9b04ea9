"""The guide: short chapters beside the pages they are about, in the reader's language.

The words stand in `web/guide/<language>/<chapter>.md`, CommonMark with three habits of our own:

- bold words stand just so on a page, and a test holds them to the catalogue of that language;
- `[words](page:endpoint)` leads to a page and is no link for who may not open it;
- `![what is seen](picture:name)` is a picture made by `python -m tests.browser.guide_pictures`.

A heading `## Words {#key}` begins a section; its key is the same in every language.
"""
