"""What is asked of a plan: why so, what one more would bring, what changed, how sure it is, who clashes with whom."""
