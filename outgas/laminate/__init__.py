"""What happens in the laminate: activity, water, warming, gas, bubbles, whiteness."""
