"""Each formula written once, on floats or arrays, with its working. numpy and errors only."""
