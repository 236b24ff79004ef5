"""Sheets to hand out: values as CSV, as a workbook, as pages to print. Nothing here opens a file."""
