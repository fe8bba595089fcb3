"""What the numbers mean for people: verdict, reasons, conditions, the Plan and the working of any figure."""
