"""The gas of a laminate: its balance over the steps of a job, and how deep that lets a bag go."""
