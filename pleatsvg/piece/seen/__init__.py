"""What a person is told of a drawing before anything is made of it: its things, its darts, its edges in words of the trade."""
