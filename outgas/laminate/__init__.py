"""What happens in a laminate while its resin is liquid."""
