"""What is asked for, checked without a drawing."""
