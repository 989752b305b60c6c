"""Several passes: what earlier ones left, taken through a later one, and what a finished one hands on."""
