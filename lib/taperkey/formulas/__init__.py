"""The math of the job as pure functions: floats or arrays in, floats, arrays or frozen results out.

Measuring: ``micrometer`` adds up the lines of the tool, ``measure`` turns readings into a height,
``uncertainty`` says how well it holds, ``linefit`` puts a straight line through stations, ``taper``
finds the taper of the opening and which end is large, ``taper_forms`` writes it per foot, as ratio
and as angle. Making: ``key`` sizes the key, ``key_form`` gives it step, eased edges and tapped end,
``cutting`` takes it from the bar. Driving, carrying and pulling: ``wedge`` and what stands beside
it. Inside, everything is in inch, lbf, psi, lbf_in and rad; distance along the keyway is measured
inward from the mouth, and a taper is positive when the opening gets lower going in.
"""
