"""From a form to flat surfaces and anchor points."""
