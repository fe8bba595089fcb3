"""What every room needs: errors, text files, units, tables with their provenance, words, text safe to print."""
