"""What the scale taught: was the forecast right, what was lost, and what this shop really yields."""
