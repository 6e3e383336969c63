"""The forecast: what a district will tell in the next two weeks, and how far that is to be trusted."""
