"""The shop in a browser: records and pages. The only folder that knows Django."""
