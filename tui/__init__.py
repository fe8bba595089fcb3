"""The interface in the terminal. It shows a Plan and computes nothing."""
