"""What pushes: air, speed, velocity pressure, coefficients, load cases. numpy and working only."""
