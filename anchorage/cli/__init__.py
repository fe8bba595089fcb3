"""What the command line does, a module for each kind of command; ``dispatch`` is the way in."""
