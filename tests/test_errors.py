from witnessmark.errors import UserError, UserErrors


def test_a_fault_reads_as_where_found_wanted_and_what_to_do():
    fault = UserError("a.toml, bore", "'84' has no unit", "a length is wanted", "Write '84 mm'")
    assert str(fault) == "a.toml, bore: '84' has no unit; a length is wanted. Write '84 mm'"


def test_a_wanted_that_is_a_sentence_stands_as_one():
    fault = UserError("sheet", "End float is 0.4 mm", "Thrust faces wipe.", "Measure again")
    assert fault.told == "End float is 0.4 mm. Thrust faces wipe."


def test_many_faults_are_told_one_a_line():
    faults = [UserError(f"line {i}", "x", "y", "z") for i in range(3)]
    assert str(UserErrors(faults)).count("\n") == 2
    assert UserErrors(faults).faults == tuple(faults)
