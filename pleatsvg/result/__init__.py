"""The result as data by the contract: classes, lines, marks, lettering."""
