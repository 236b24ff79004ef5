"""The commands: a few lines each, for people (text) and for programs (--json)."""
