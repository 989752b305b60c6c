"""What was found on a drawing, as a picture: nobody has to guess which edge is 3, or which end of a line is its top."""
