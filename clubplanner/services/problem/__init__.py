"""From records to what a share-out has to solve: ground, days, asks, and the plan that stands."""
