"""Equal pieces and single rectangles on any outline."""
