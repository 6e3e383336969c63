"""Pages made for paper: the wall calendar of a plot, the same to be filled in by hand, and the card."""
