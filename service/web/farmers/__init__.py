"""Today, the list of farmers, and a farmer's own page."""
