"""What programs ask the shop: scales, scanners and shop systems, each with a key of its own."""
