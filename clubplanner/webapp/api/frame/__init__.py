"""What every operation stands on: values, what is read and answered, once, the description."""
