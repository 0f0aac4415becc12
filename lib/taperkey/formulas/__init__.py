"""The math of the job as pure functions: floats or arrays in, floats, arrays or frozen results out.

``micrometer`` adds up the lines of the tool, ``measure`` turns readings into a height (with
``uncertainty``: how well it holds), ``linefit``
puts a straight line through stations, ``taper`` finds the taper of the opening and which end is
large (with ``taper_forms``: per foot, ratio, angle), ``key`` sizes the key (with ``key_form``:
step, eased edges, tapped end), ``cutting`` takes it from the bar, ``wedge`` drives and draws it
(with ``free_body`` and ``reversed_hub``), ``strength`` compares it and its bolt with what they
carry, ``seat`` follows the pressure of a driven key, ``rig`` finds the weakest link of a pull.
Inside, everything is in inch, lbf, psi, lbf_in and rad; distance along the keyway is measured
inward from the mouth, and a taper is positive when the opening gets lower going in.
"""
