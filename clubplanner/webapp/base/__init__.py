"""What every page needs: state, forms, who may open what, faults."""
