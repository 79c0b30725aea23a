"""One file per mechanism: exact motion, exact rigid loads, and the contacts it declares as data."""
