"""What passes through a shell: slips of the hand that it took apart, answered with the command as it was meant."""
