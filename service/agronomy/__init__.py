"""What the plants need and what the figures mean: pure rules and the data they read."""
