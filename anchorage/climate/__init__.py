"""Years of weather against one installation: how often it may stand, and the gust of a return period. The only room with scipy."""
