"""Each slash line a pleat laid out on the finished piece, or a refusal."""
