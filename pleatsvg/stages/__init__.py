"""The four stages of the job on one piece: lay, flatten, mark, prove."""
