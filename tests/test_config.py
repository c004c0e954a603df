"""Settings from the environment."""

from pathlib import Path

import pytest

from coiltrail.config import Config


def test_without_any_setting_all_lies_in_one_directory():
    config = Config.from_environment({})
    assert config.data == Path("shop-data").resolve()
    assert config.database_url == f"sqlite:///{config.data / 'coiltrail.sqlite3'}"
    assert (config.public_url, config.https, config.trusted_proxies) == ("http://localhost:8000", False, 0)
    assert (config.pwa / "package.json").is_file()


def test_each_setting_is_taken(tmp_path):
    config = Config.from_environment(
        {"COILTRAIL_DATA": str(tmp_path), "PUBLIC_URL": "https://Shop.Example/", "TRUSTED_PROXIES": "2"}
    )
    assert (config.data, config.public_url, config.https, config.trusted_proxies) == (
        tmp_path,
        "https://shop.example",
        True,
        2,
    )


@pytest.mark.parametrize("url", ["postgres://u:p@db/shop", "postgresql://u:p@db/shop"])
def test_postgresql_is_reached_by_psycopg(url):
    assert Config.from_environment({"DATABASE_URL": url}).database_url == "postgresql+psycopg://u:p@db/shop"


def test_any_other_database_address_is_left_as_it_is():
    assert Config.from_environment({"DATABASE_URL": "sqlite:////x.db"}).database_url == "sqlite:////x.db"


@pytest.mark.parametrize(
    "url", ["shop.example", "ftp://shop.example", "https://", "https://shop.example/path", "https://a@b", "https://a b"]
)
def test_an_address_that_cannot_stand_on_a_tag_is_refused_by_name(url):
    with pytest.raises(ValueError, match=r"^PUBLIC_URL: give scheme and host"):
        Config.from_environment({"PUBLIC_URL": url})


@pytest.mark.parametrize("count", ["-1", "two", "1.0"])
def test_a_count_of_proxies_is_a_number(count):
    with pytest.raises(ValueError, match=r"^TRUSTED_PROXIES: give a whole number"):
        Config.from_environment({"TRUSTED_PROXIES": count})
