"""Reasons in words, in the language of whoever reads them."""
