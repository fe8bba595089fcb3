"""What a team writes: the models of the file, its reader, its faults, the draft that the interface edits."""
