"""Who is served, where they are, and through what: the people, the plots, the rules and the ways out."""
