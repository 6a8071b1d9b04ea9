"""Ground for somebody from outside."""
