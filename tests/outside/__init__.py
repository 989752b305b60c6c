"""Values from outside the program: closed forms, published worked examples, and what the W3C says a drawing means."""
