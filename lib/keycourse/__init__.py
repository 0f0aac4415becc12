"""Benches to practise on: hidden true slots and keys that answer as metal does.

- ``draws``: seeded draws, the same on every machine
- ``slot``: the true slot as fields of height
- ``gauge``, ``measuring``: tools in the slot; a measuring session
- ``keyblank``: the key as it comes from the machine
- ``touch``, ``contact``, ``insertion``: first touch, pressure under load, how far the key goes in
- ``blueing``, ``filing``, ``fitting_steps``, ``fitting``: marks, cuts, a fitting session
- ``hands``: a careful hand and careless ones at the fitting bench
- ``seated``, ``pulling_steps``, ``pulling``: the key in its hub, a pulling session

A session is the hidden thing, a seed and a list of plain steps. ``record()`` holds seed and
steps only; ``observations`` is what the apprentice saw; ``summary()`` is for the marker.
"""
