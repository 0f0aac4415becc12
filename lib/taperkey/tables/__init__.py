"""Published tables as CSV, each with its source, and the modules that look things up in them.

``reader`` reads any table; ``keys`` finds key sizes, depths, fillets and alignment by
shaft or key; ``stock`` holds bars, their tolerances and feeler leaves; the other modules hold
threads, steels, friction and jacks. Inch tables may write fractions; metric tables keep ``_mm``
columns and are converted once on reading. Every file opens with its source and says which rows
were found in print and which are from memory.
"""
