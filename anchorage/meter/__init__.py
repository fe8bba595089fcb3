"""A wind meter on its pole: its sentences, its gusts, whether it can be believed, and what it means for the shelter now."""
