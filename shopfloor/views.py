"""Today and search: the two pages that look into every floor."""
