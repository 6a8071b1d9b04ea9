"""Understanding tables as clubs have them: any heading, any usual way of writing, two languages.

What is understood is put into the words of our own files, which `inputs/club_files` reads; what is
not, comes back as a question about a cell. Words are German or English whatever the page speaks.
"""
