"""What a check has to say, as data: the finding, the table of codes, the pages of reading errors."""
