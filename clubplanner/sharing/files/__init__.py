"""Problems and results as JSON."""
