"""The sheet to sew from: what is made, its pictures, its figures and the order of work, on one page that prints."""
