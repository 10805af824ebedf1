"""What every page is made of: markup, controls, fields, rows, submissions, versions. It knows no table."""
