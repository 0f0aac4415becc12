"""A finding is said in inches and pounds, or in whatever unit is asked for."""

from keycourse.whole.job_inputs import Finding


def test_a_sentence_takes_its_numbers_in_the_unit_asked_for():
    one = Finding(
        level="look",
        stage="fit",
        words="{} {} {} {} {}",
        numbers=(
            (1.06254, "length"),
            (12345.6, "force-up"),
            (12345.4, "force"),
            (0.0104167, "taper"),
            (0.25, "number"),
        ),
    )
    assert one.sentence == "1.0625 in 12,346 lbf 12,345 lbf 0.01042 in/in 0.25"
    assert one.told(lambda value, dimension: dimension) == "length force-up force taper number"
