"""What happened while it stood: an append-only, hash-chained record beside the deployment file, and what it means now."""
