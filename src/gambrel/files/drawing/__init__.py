"""Pictures as SVG text: values in, one string out. Nothing here opens a file."""
