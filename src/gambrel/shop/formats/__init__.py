"""How figures and days are written in a language, where the usual way of that language would not do."""
