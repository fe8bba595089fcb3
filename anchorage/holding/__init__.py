"""What resists: friction, ballast, stakes, lines. numpy and working only."""
