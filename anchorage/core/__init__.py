"""What every room needs: errors, files, tables and their provenance, units, words, text safe to print."""
