"""Collections: their days, the clerk's page of one day, and what farmers are owed."""
