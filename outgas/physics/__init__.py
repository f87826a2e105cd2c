"""Kernels: pure functions on SI floats and arrays."""
