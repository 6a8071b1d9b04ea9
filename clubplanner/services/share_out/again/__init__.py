"""A published plan shared out again after something came up, or in turns over its weeks."""
