"""knockon: plans changes to one-off vehicles."""
