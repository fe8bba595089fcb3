"""Which way to hold it: every way that the ground, what was brought and the people allow, each judged as a deployment of its own."""
