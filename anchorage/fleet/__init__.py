"""A folder of deployments, judged one by one and side by side."""
