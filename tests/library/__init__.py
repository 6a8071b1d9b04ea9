"""Tests of what `import clubplanner` gives."""
