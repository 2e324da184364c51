"""Numbers and words as data: every row names its source; `table_reader` alone reads them."""
