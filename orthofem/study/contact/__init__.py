"""An option whose pieces touch: which units, which loads count, what is read, what changed."""
