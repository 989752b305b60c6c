"""Making a result anew each time what it is made from is saved."""
