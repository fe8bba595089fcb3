"""After an accident: all that a judgement stood on, in one file that can be judged again."""
