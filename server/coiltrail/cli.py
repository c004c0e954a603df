"""The ``coiltrail`` command."""

import argparse
import datetime
import json
import sys
from collections.abc import Sequence
from pathlib import Path

from flask import Flask

from .config import PWA, Config
from .trouble import Trouble


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; gives its exit code. Errors are one line that says what to do."""
    options = _parser().parse_args(arguments)
    try:
        return options.run(options) or 0
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="coiltrail", description="Case record and diagnosis aid for engine misfires: the shop's side."
    )
    commands = parser.add_subparsers(metavar="COMMAND", required=True)

    def command(name: str, run, help_: str, among=commands) -> argparse.ArgumentParser:
        added = among.add_parser(name, help=help_, description=help_)
        added.set_defaults(run=run)
        return added

    explain = command("explain", _explain, "Read a case's log and print what it means.")
    explain.add_argument("log", type=Path, metavar="LOG.jsonl", help="a log as `coiltrail export` writes it")
    explain.add_argument("--json", action="store_true", help="print JSON for programs")

    export = command("export", _export, "Write a case's log, or all of a case or of the shop as plain files.")
    export.add_argument("case", metavar="CASE", nargs="?", help="the case's id, or enough of its beginning or end")
    export.add_argument(
        "--folder",
        type=Path,
        metavar="DIR",
        help="a new directory for log, photos and report of the case, or for the whole shop where no case is named",
    )

    importing = command("import", _import, "Make the shop of an export again, in an empty data directory.")
    importing.add_argument("path", type=Path, metavar="PATH", help="what `coiltrail export --folder` or a page gave")

    command("kinds", _kinds, "Write the declaration of all entries for the phone's forms.")
    command("migrate", _migrate, "Bring the database to the newest shape.")
    command("reindex", _reindex, "Make anew what cases and parts are found by, from the log.")
    command("owner-link", _owner_link, "Print the one-time link by which the first owner signs up.")
    password = command("password-link", _password_link, "Print a one-time link by which somebody sets a new password.")
    password.add_argument("name", metavar="NAME", help="the name they sign in with")
    pair = command("pair", _pair, "Print a code that pairs a phone, good once and for five minutes.")
    pair.add_argument("name", metavar="NAME", help="whose phone it is")
    command("new-epoch", _new_epoch, "After a restore: let every device offer all its entries again.")

    backup = command("backup", _backup, "Copy the whole shop to a new directory, also while it is served.")
    backup.add_argument("folder", type=Path, metavar="DIR", help="the new directory; it appears when it is whole")

    restore = command("restore", _restore, "Put a backup back, with the server stopped.")
    restore.add_argument("folder", type=Path, metavar="DIR", help="a directory that `coiltrail backup` made")
    restore.add_argument("--over", action="store_true", help="replace the shop that is there; it is kept aside")

    check = command("check", _check, "Say whether the log and all photos are whole, else what is affected.")
    check.add_argument("--ask-again", action="store_true", help="let phones send lost photos again")

    serve = command("serve", _serve, "Serve the application.")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (default: %(default)s)")
    serve.add_argument("--port", type=int, default=8000, help="port to listen on (default: %(default)s)")
    serve.add_argument("--certificate", type=Path, metavar="FILE", help="certificate chain for HTTPS (PEM)")
    serve.add_argument("--key", type=Path, metavar="FILE", help="its private key (PEM)")

    measure = commands.add_parser("bench", help="Measure how fast it is.", description="Measure how fast it is.")
    benches = measure.add_subparsers(metavar="WHAT", required=True)
    sync = command("sync", _bench_sync, "Entries, photos and bytes of a day's work, beside another database.", benches)
    sync.add_argument("--scale", type=int, default=20, help="the link's clock runs so many times faster (default: 20)")
    found = command("search", _bench_search, "How fast one case of many is found.", benches)
    found.add_argument("--cases", type=int, default=100_000, help="how many are invented (default: 100000)")
    command("shelf", _bench_shelf, "How fast a part on a large shop's shelf is found.", benches)
    thinking = command("diagnosis", _bench_diagnosis, "How long the diagnosis thinks, and in how much memory.", benches)
    thinking.add_argument("--quick", action="store_true", help="once each, on Node instead of Chromium")
    thinking.add_argument("--cylinders", type=int, nargs="+", default=[4, 6, 8, 12], metavar="N", help="only these")
    thinking.add_argument("--swaps", type=int, nargs="+", default=[0, 1, 2, 3, 5, 8], metavar="N", help="only these")
    thinking.add_argument("--limit", type=float, default=60, metavar="S", help="seconds for one figure (default: 60)")
    thinking.add_argument("--json", action="store_true", help="print JSON for programs")

    command("shake", _bench_shake, "How long a recording of a running engine takes to judge.", benches)

    phone = command("field", _bench_field, "How fast the phone's side is, with a full store and no signal.", benches)
    phone.add_argument("--photos", type=int, default=3000, help="how many the phone holds (default: 3000)")
    phone.add_argument("--throttle", type=float, default=4, help="so many times slower is the page (default: 4)")
    phone.add_argument("--no-lighthouse", action="store_true", help="leave Lighthouse out")
    phone.add_argument("--json", action="store_true", help="print JSON for programs")

    load = command("load-demo", _load_demo, "Load the invented shop.")
    load.add_argument("folder", type=Path, metavar="DIR", help="directory with shop.json, logs and photos")
    return parser


def _app() -> Flask:
    from .app import create_app

    try:
        return create_app(Config.from_environment())
    except ValueError as problem:
        raise Trouble(str(problem)) from None


def _explain(options: argparse.Namespace) -> None:
    from .explain_text import explain
    from .log_file import read_log

    sys.stdout.write(explain(read_log(options.log), as_json=options.json))


def _export(options: argparse.Namespace) -> None:
    from .store import export, log

    if not (options.case or options.folder):
        raise Trouble("Name a case, or a directory for the whole shop: coiltrail export --folder DIR")
    with _app().app_context():
        if not options.case:
            files = export.of_shop(_only_shop())
        else:
            try:
                shop_id, case_id = log.find_case(options.case.lower())
            except LookupError as problem:
                raise Trouble(problem.args[0]) from None
            if not options.folder:
                for line in log.case_log(shop_id, case_id):
                    print(line)
                return
            files = export.of_case(shop_id, case_id)
        print(f"{options.folder} holds {export.write_folder(files, options.folder)} files.")


def _only_shop() -> str:
    from .store.database import db
    from .store.models import Shop

    shop_id = db.session.query(Shop.id).scalar()
    if shop_id is None:
        raise Trouble("There is no shop to export: say where it is with COILTRAIL_DATA.")
    return shop_id


def _import(options: argparse.Namespace) -> None:
    from .store import bring_in, migrations

    app = _app()
    migrations.apply(app)
    with app.app_context():
        done = bring_in.bring_in(options.path)
    print(f"{done.entries} entries and {done.photos} photos are here.")
    if done.lacking:
        print(f"{len(done.lacking)} photos were lost before the export; phones that still have them send them again.")
    print(f"No password is in an export. Give each of {', '.join(done.people)} a link: coiltrail password-link NAME")


def _kinds(_: argparse.Namespace) -> None:
    from .core import entries

    path = PWA / "kinds.json"
    path.write_text(json.dumps(entries.declaration(), ensure_ascii=False, sort_keys=True) + "\n", encoding="utf-8")
    print(path)


def _migrate(_: argparse.Namespace) -> None:
    from .store import migrations

    migrations.apply(_app())


def _reindex(_: argparse.Namespace) -> None:
    from .store import derived

    with _app().app_context():
        print(f"{derived.reindex()} cases can be found anew.")


def _owner_link(_: argparse.Namespace) -> None:
    from .config import settings
    from .store import people

    with _app().app_context():
        try:
            print(f"{settings().public_url}/#owner={people.new_owner_link()}")
        except people.Refused as refused:
            raise Trouble(str(refused)) from None


def _password_link(options: argparse.Namespace) -> None:
    from .config import settings
    from .store import invitations
    from .store.audit import By

    with _app().app_context():
        person = _somebody(options.name)
        _, token = invitations.password_link(person.id, By(person.shop_id))
        print(f"{settings().public_url}/#join={token}")


def _pair(options: argparse.Namespace) -> None:
    from .config import settings
    from .store import pairings
    from .store.audit import By
    from .terminal_square import terminal_square

    with _app().app_context():
        person = _somebody(options.name)
        _, token = pairings.show(By(person.shop_id, person.id))
        link = f"{settings().public_url}/#pair={token}"
    print(terminal_square(link))
    print(link)


def _somebody(name: str):
    from .store import people

    person = people.find(name)
    if person is None:
        raise Trouble(f"Nobody who works here is called {name}: give the name they sign in with.")
    return person


def _new_epoch(_: argparse.Namespace) -> None:
    from .store import log

    with _app().app_context():
        log.begin_epochs()
    print("Every device will offer all its entries again.")


def _backup(options: argparse.Namespace) -> int:
    from .store import backup

    with _app().app_context():
        made = backup.make(options.folder)
    print(f"{made.folder} holds {sum(made.rows.values())} rows and {len(made.photos)} photos.")
    if made.lacking:
        print(f"{len(made.lacking)} photos are lost from the shop's own disk; see which: coiltrail check")
    return 1 if made.lacking else 0


def _restore(options: argparse.Namespace) -> None:
    from .store import restore

    with _app().app_context():
        done = restore.restore(options.folder, over=options.over)
    made = datetime.datetime.fromtimestamp(done.backup.made_ms / 1000).astimezone()
    print(f"The shop is as it was on {made:%Y-%m-%d at %H:%M}. Every device will offer all its entries again.")
    if done.asked:
        print(f"{len(done.asked)} photos were lost from the backup; phones that still have them send them again.")
    if done.replaced:
        print(f"What was here before is in {done.replaced}.")
    print("Devices shut out since then may sign in again: look over the list of devices.")


def _check(options: argparse.Namespace) -> int:
    from .store import inspection, photos

    with _app().app_context():
        seen = inspection.inspect_shop()
        if options.ask_again:
            photos.ask_again(seen.lost_photos)
    for finding in seen.findings:
        print(finding.text)
    print(seen.summary())
    return 0 if seen.whole else 1


def _serve(options: argparse.Namespace) -> None:
    from .serve import serve

    serve(options.host, options.port, options.certificate, options.key)


def _bench_sync(options: argparse.Namespace) -> None:
    from .bench import sync

    if options.scale < 1:
        raise Trouble("--scale: give a whole number, 1 (real time) or more.")
    sync.run(options.scale)


def _bench_search(options: argparse.Namespace) -> None:
    from .bench import search

    if options.cases < 1:
        raise Trouble("--cases: give a whole number, 1 or more.")
    search.run(options.cases)


def _bench_shelf(_: argparse.Namespace) -> None:
    from .bench import shelf

    shelf.run()


def _bench_diagnosis(options: argparse.Namespace) -> None:
    from .bench import diagnosis

    diagnosis.run(options.cylinders, options.swaps, options.quick, options.json, options.limit)


def _bench_shake(options: argparse.Namespace) -> None:
    from .bench import shake

    shake.run()


def _bench_field(options: argparse.Namespace) -> None:
    from .bench import field

    if options.photos < 0 or not 1 <= options.throttle <= 50:
        raise Trouble("--photos: give 0 or more. --throttle: give 1 (as fast as it goes) to 50.")
    field.run(options.photos, options.throttle, not options.no_lighthouse, options.json)


def _load_demo(options: argparse.Namespace) -> None:
    from .demo import load

    with _app().app_context():
        loaded = load(options.folder)
    print(", ".join(f"{count} {what}" for what, count in loaded.items()))


if __name__ == "__main__":
    sys.exit(main())
