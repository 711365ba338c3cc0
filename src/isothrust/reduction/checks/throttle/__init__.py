"""Command and controller: what makes a throttle mean something else."""
