"""The rib face read from a photograph: area, fat, marbling and colour, each with its interval, or a refusal."""
