"""From records to a problem, through runs to a published proposal."""
