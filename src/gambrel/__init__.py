"""The workbench of a whole-animal butcher."""
