"""The card for marking and pressing, and the sample to fold first."""
