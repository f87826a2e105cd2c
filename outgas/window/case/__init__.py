"""The case of a job: how warm it gets, how long its steps last, and what stands by default."""
