"""The outside as values: case files, tables, spreadsheets and documents."""
