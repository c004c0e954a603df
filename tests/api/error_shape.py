"""The one form of every error."""


def assert_error(response, status: int, code: str | None = None, field: str | None = None) -> str:
    """Assert that ``response`` is an error as documented; gives its message."""
    assert response.status_code == status, response.text
    assert response.mimetype == "application/json"
    assert set(response.json) == {"error"}
    error = response.json["error"]
    assert set(error) <= {"code", "message", "field"} and {"code", "message"} <= set(error)
    assert all(isinstance(value, str) and value for value in error.values())
    assert error["code"].replace("_", "").isalpha() and error["code"].islower()
    if code:
        assert error["code"] == code
    if field:
        assert error["field"] == field
    return error["message"]
