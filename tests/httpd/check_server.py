"""The server as its devices meet it, on loopback: check_server.py LEEWAY-SERVE. Every answer is held to docs/openapi.yaml.
Exit 77 where python3-jsonschema or python3-yaml is not installed."""
import ctypes
import http.client
import json
import os
import re
import secrets
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time

try:
    import jsonschema
    import yaml
except ImportError:
    sys.exit(77)

PROGRAM = os.path.realpath(sys.argv[1])
NOW_S = 1781600000  # 2026-06-16 08:53 UTC: the demo is on the high bench then
with open("docs/openapi.yaml") as file:
    API = yaml.safe_load(file)
wrong = []
BEGAN = time.monotonic()


def want(is_so, what):
    if not is_so:
        wrong.append(what)
        print("wrong:", what)


def end_with_me():
    """PR_SET_PDEATHSIG: a server does not outlive a test that is killed."""
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)


class Server:
    def __init__(self, book, reach="here", demo="as-is", name="", now_s=NOW_S):
        shift = now_s - int(time.time())
        self.process = subprocess.Popen([PROGRAM, book, "0", reach, demo, name, str(shift)],
                                        stdout=subprocess.PIPE, text=True, preexec_fn=end_with_me)
        line = self.process.stdout.readline()
        self.port = int(re.search(r"127\.0\.0\.1:(\d+)", line).group(1))
        self.code = None
        if reach == "lan":
            self.code = re.search(r"(\d{6})\b", self.process.stdout.readline().split("/")[-1] + " ")
            self.code = self.code.group(1) if self.code else None

    def ask(self, method, path, body=None, headers=None, raw=False):
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        sent = {"Content-Type": "application/json"} if body is not None else {}
        sent.update(headers or {})
        line.request(method, path, body if raw or body is None else json.dumps(body), sent)
        answer = line.getresponse()
        text = answer.read()
        line.close()
        self.last = answer
        check_schema(method, path, answer.status, text, answer.getheader("Content-Type") or "")
        try:
            return answer.status, json.loads(text)
        except ValueError:
            return answer.status, text

    def end(self, how=signal.SIGTERM):
        self.process.send_signal(how)
        return self.process.wait(timeout=20)


definitions = {}  # of every document that was put in


def resolve(schema):
    """References to other documents are put in; those inside them lead to the definitions that are kept in the root, as older readers of
    schemas do not find a document within another."""
    if isinstance(schema, dict):
        ref = schema.get("$ref", "")
        if ref.endswith(".schema.json"):
            with open("docs/" + ref) as other:
                put_in = json.loads(other.read().replace('"#/$defs/', f'"#/$defs/{ref}/'))
            definitions[ref] = put_in.pop("$defs", {})
            return {key: value for key, value in put_in.items() if key not in ("$id", "$schema")}
        return {key: resolve(value) for key, value in schema.items()}
    return [resolve(item) for item in schema] if isinstance(schema, list) else schema


validators = {}


COMMANDS = re.compile(r"(?<![-\w])--[a-z]|leeway (log|plan|begin|end|import|places|clock|ledger|trip|checklist|weather|signal|model|book) ")


def no_commands(method, path, value):
    """Who reads an answer of the server has no command line."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key != "scenario":
                no_commands(method, path, inner)
    elif isinstance(value, list):
        for inner in value:
            no_commands(method, path, inner)
    elif isinstance(value, str) and "\n" not in value:  # a text of several lines is a document of the user's
        want(not COMMANDS.search(value), f"{method} {path} names a command: {value[:200]}")


def check_schema(method, path, status, text, kind):
    path = path.split("?")[0]
    if kind == "application/json" and status != 304 and method != "HEAD":
        no_commands(method, path, json.loads(text))
    operation = next((p.get(method.lower()) for form, p in API["paths"].items()
                      if re.fullmatch(re.sub(r"\{.*?\}", "[^/]+", form), path)), None)
    if not path.startswith("/api/") or status == 304 or method == "HEAD" or path.endswith("/export") and status == 200 or kind.startswith("text/calendar"):
        return
    if status == 200:
        want(operation is not None, f"{method} {path} is answered and stands not in docs/openapi.yaml")
        if not operation:
            return
        schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
    else:
        schema = {"$ref": "#/components/schemas/refusal"}
    key = json.dumps(schema, sort_keys=True)
    if key not in validators:
        whole = dict(resolve(schema))
        whole["components"] = API["components"]
        whole["$defs"] = definitions
        validators[key] = jsonschema.Draft202012Validator(whole)
    want(kind == "application/json", f"{method} {path}: {kind}")
    error = next(validators[key].iter_errors(json.loads(text)), None)
    want(error is None, f"{method} {path} {status}: {error and error.message[:200]}")


def entry(words, **more):
    return {"id": secrets.token_hex(16), "device": "a phone", "words": words, **more}


def entries_in(server):
    return server.ask("GET", "/api/1/history")[1]["entries"]


def first_start(server):
    status, state = server.ask("GET", "/api/1/state")
    want(status == 200 and state["book"] == "empty" and state["stay"] is None, "an empty book says so")
    for path in ("outlook", "today", "gauges", "scenario"):
        want(server.ask("GET", f"/api/1/{path}")[0] == 409, f"{path} of an empty book is refused")
    want(server.ask("POST", "/api/1/demo")[1]["book"] == "demo", "the demo goes into an empty book")
    want(server.ask("POST", "/api/1/demo")[0] == 409, "and no second time")
    want(server.ask("DELETE", "/api/1/demo")[1]["book"] == "empty", "it goes again")
    want(server.ask("DELETE", "/api/1/demo")[0] == 409, "and once only")
    server.ask("POST", "/api/1/demo")
    # What is kept in it describes it anew: it stays the demo, with what was read there.
    state = server.ask("GET", "/api/1/state")[1]
    arrive, leave = (state["stay"][key][:16].replace("T", " ") for key in ("from", "until"))
    logged = len(server.ask("GET", "/api/1/history")[1]["entries"])
    kept = server.ask("GET", "/api/1/scenario")[1]["scenario"].replace(
        "stay:\n", f"stay:\n  arrive: {arrive}\n  leave: {leave}\n  generator: []\n", 1)
    want(server.ask("POST", "/api/1/begin", {"scenario": kept})[0] == 200, "the demo is described anew")
    want(server.ask("GET", "/api/1/state")[1]["book"] == "demo", "and is the demo still")
    want(len(server.ask("GET", "/api/1/history")[1]["entries"]) == logged, "with what was read in it")


def every_path(server):
    for path in ("state", "outlook?draws=1", "outlook?draws=1&assumptions=1&set=rig.solar%3D800+W",
                 "outlook?draws=1&done=filled+fresh&done=dumped+grey", "today?draws=1",
                 "learned", "weather", "history", "history?supply=fresh&last=1", "history?signal=1", "foreseen", "foreseen?days=90", "people", "gauges", "scenario",
                 "starts", "settings", "checklists", "checklists?name=leaving", "ledger", "devices", "places",
                 "places?near=38.2,-111.1&from=2026-06-20&until=2026-06-27", "drive?from=38.2,-111.1&to=38.57,-109.55"):
        want(server.ask("GET", f"/api/1/{path}")[0] == 200, f"GET {path}")
    status, text = server.ask("GET", "/api/1/calendar")
    want(status == 200 and text.startswith(b"BEGIN:VCALENDAR\r\n") and text.endswith(b"END:VCALENDAR\r\n"), "a calendar")
    want(server.ask("GET", "/api/1/plan/generator?confidence=40")[0] == 400, "a confidence that is none")
    plans(server)
    status, list_ = server.ask("GET", "/api/1/checklists?name=leaving")
    item = list_["items"][0]["id"]
    status, list_ = server.ask("POST", "/api/1/ticks", {"list": "leaving", "tick": [item]})
    want(status == 200 and list_["items"][0]["is_ticked"], "a tick is kept")
    for path in ("outlook?draws=0", "outlook?draws=x", "outlook?drawings=1", "outlook?set=solar", "outlook?set=%zz",
                 "history?last=-1", "foreseen?days=0", "people?who=1"):
        want(server.ask("GET", f"/api/1/{path}")[0] == 400, f"GET {path} is refused")
    people = server.ask("GET", "/api/1/people")[1]
    want(people["here"] == 6 and people["place"] in people["places"], f"the demo's people: {people}")
    want(server.ask("GET", "/api/1/outlook?draws=1&set=rig.nonsense%3D1")[0] == 422, "a key that is none")
    want(server.ask("GET", "/api/1/outlook?draws=1&done=dumped+gray")[0] == 422, "a thing that is none")
    place = server.ask("GET", "/api/1/places")[1]["places"][0]["name"].replace(" ", "+")
    want(server.ask("GET", f"/api/1/place?name={place}")[0] == 200, "the place of the demo")
    want(server.ask("GET", "/api/1/place?name=Nowhere")[0] == 404, "a place that is none")
    want(server.ask("GET", "/api/1/place")[0] == 400, "a place without a name")
    want(server.ask("GET", "/api/1/places?from=2026-06-20")[0] == 400, "half a pair of dates")
    want(server.ask("GET", "/api/1/drive?from=38.2,-111.1&to=Nowhere")[0] == 404, "a drive to nowhere")
    want(server.ask("GET", "/api/1/nothing")[0] == 404, "an unknown path")
    want(server.ask("PUT", "/api/1/state")[0] == 405 and server.last.getheader("Allow") == "GET, HEAD", "another method")
    want(server.ask("DELETE", "/api/1/devices/77")[0] == 404, "no such device")
    server.ask("GET", "/api/1/outlook?draws=1")
    tag = server.last.getheader("ETag")
    want(server.ask("GET", "/api/1/outlook?draws=1", headers={"If-None-Match": tag})[0] == 304, "what is known is not sent")
    labels = [start["label"] for start in server.ask("GET", "/api/1/starts")[1]["starts"]]
    want("Trailer, 26 ft" in labels and not any(label.endswith(" m") for label in labels), f"feet: {labels}")
    want(server.ask("PUT", "/api/1/settings", {"units": "si", "clock": "12"})[1]["clock"] == "12", "settings are kept")
    want("Trailer, 8 m" in [start["label"] for start in server.ask("GET", "/api/1/starts")[1]["starts"]], "metres")
    want(server.ask("PUT", "/api/1/settings", {"units": "cgs"})[0] == 422, "units that are none")


def plans(server):
    """Plans of the demo: each by its schema. Optimised runs and what to buy are seconds of work: the page's tests ask for them."""
    services = server.ask("GET", "/api/1/services")[1]["own"]
    want("Cottonwood ranger yard" in services, f"the demo has services around it: {services}")
    cost = server.ask("GET", "/api/1/plan/cost?hookups=55&run=14+mi&drive=120+mi")
    want(cost[0] == 200 and cost[1]["hookup_night_usd"] == 55, f"what the stay costs: {cost}")
    drive = [line for line in cost[1]["lines"] if line["id"] == "drive"][0]
    want(drive["is_counted"] and drive["usd"] > 0, f"120 miles are counted: {drive}")
    share = server.ask("GET", "/api/1/plan/share?household=Marmalade&lend=%7Bthing%3A+vehicle%2C+water%3A+28+gal%7D")
    want(share[0] == 200 and share[1]["household"] == "Marmalade" and len(share[1]["lends"]) == 1, f"a share file: {share}")
    other = dict(share[1], household="Snug Harbour", lends=[])
    both = {"shares": [json.dumps(share[1]), json.dumps(other)]}
    status, convoy = server.ask("POST", "/api/1/plan/convoy", both)
    want(status == 200 and [one["household"] for one in convoy["households"]] == ["Marmalade", "Snug Harbour"],
         f"two rigs: {convoy}")
    status, again = server.ask("POST", "/api/1/plan/convoy", {"shares": [both["shares"][0], json.dumps(dict(other, household="Third"))]})
    want(again["households"][1]["household"] == "Third", "another question at the same address has another answer")
    for bad in ({"shares": []}, {"shares": both["shares"][:1]}, {"shares": [1, 2]}, {}):
        want(server.ask("POST", "/api/1/plan/convoy", bad)[0] == 400, f"{bad} is refused")
    want(server.ask("POST", "/api/1/plan/convoy", {"shares": ["convoy: 1", "convoy: 1"]})[0] == 422, "half a share file")
    own = "services: [{name: Tap, gives: water, distance: 2 mi, road: 5 min, for: public}]\nruns: [{kind: break-camp}]\n"
    want(server.ask("PUT", "/api/1/services", {"own": own})[1]["own"] == own, "services of one's own are kept")
    want(server.ask("PUT", "/api/1/services", {"own": "services: [{name: Tap, gives: wine}]"})[0] == 422, "nobody pours wine")
    want(server.ask("PUT", "/api/1/services", {})[0] == 400, "services without a text")
    want(server.ask("GET", "/api/1/services")[1]["own"] == own, "what is refused changes nothing")
    want(server.ask("PUT", "/api/1/services", {"own": services})[0] == 200, "and back")
    want(server.ask("GET", "/api/1/plan/rhythm?days=20&confidence=60")[1]["has_services"], "the rhythm goes by them")
    for path in ("runs?confidence=40", "runs?hour_value=x", "provisions?anew=2", "provisions?set=crew", "buy?budget=-1",
                 "cost?drive=far", "rhythm?days=300", "share?lend=%7Bthing%3A+piano%7D"):
        want(server.ask("GET", f"/api/1/plan/{path}")[0] == 400, f"plan/{path} is refused")
    want(server.ask("GET", "/api/1/plan/provisions?set=weather.file%3D/etc/hostname")[0] == 409, "no file is opened")
    want(server.ask("GET", "/api/1/plan/provisions?anew=1&set=stay.arrive%3D2026-07-04+14:00&set=stay.events%3D%5B%5D"
                    "&set=weather%3Dclimate&until=2026-07-06+10:00")[0] == 200, "what to bring to another stay")


TRIP = """leeway: 1
trip: {from: 2026-07-10, until: 2026-07-15, start: Quarry Flat, drive_days: Mon-Sun, supplies_chance: 50 %, work_chance: 50 %}
places:
  - {name: Quarry Flat, latitude: 37.1 N, longitude: 112.4 W, elevation: 5600 ft, worth: 35 USD, signal: 85 %, everything: yes}
  - {name: Ferry Bend, latitude: 37.3 N, longitude: 111.6 W, elevation: 4300 ft, worth: 90 USD, fee: 4 USD, signal: 80 %, everything: yes}
  - {name: Tin Cup, latitude: 37.3 N, longitude: 112.1 W, elevation: 5900 ft, worth: 60 USD, signal: 82 %, everything: yes}
"""


def trips(server):
    """Planned, kept, changed, taken out in every form; each answer is held to its schema."""
    ask = lambda **what: server.ask("POST", "/api/1/trip", what)
    want(ask(do="list") == (200, {"schema": "leeway.trips/1", "trips": []}), "no trip yet")
    status, made = ask(do="plan", trip=TRIP, keep="a week", plans=2)
    want(status == 200 and made["plans"], f"a trip is planned: {made}")
    where = [stop["place"] for stop in made["plans"][0]["stops"]]
    want("Ferry Bend" in where, f"the place of most worth is in it: {where}")
    want(ask(do="show", name="a week")[1]["plans"][0]["stops"] == made["plans"][0]["stops"], "shown as it was planned")
    status, other = ask(do="replan", name="a week", plan=1, full=["Ferry Bend"], keep="a week 2", plans=1)
    want(status == 200 and all(stop["place"] != "Ferry Bend" for stop in other["plans"][0]["stops"]), f"it is full: {other}")
    want([one["name"] for one in ask(do="list")[1]["trips"]].count("a week") == 1, "the old one is there still")
    begins = {"calendar": b"BEGIN:VCALENDAR\r\n", "gpx": b"<?xml", "csv": b"", "sheet": b"<!doctype html", "home": b"Where we are"}
    for form, begin in begins.items():
        status, text = server.ask("GET", f"/api/1/trip/export?name=a+week&as={form}")
        want(status == 200 and text.lower().startswith(begin.lower()) and b"Ferry Bend" in text, f"{form}: {text[:80]}")
    want(server.ask("GET", "/api/1/trip/export?name=a+week&as=pdf")[0] == 400, "a form that is none")
    want(server.ask("GET", "/api/1/trip/export?name=a+week&as=gpx&plan=4")[0] == 404, "a plan that is none")
    want(server.ask("GET", "/api/1/trip/export?name=b&as=gpx")[0] == 404, "a trip that is none")
    status, year = ask(do="year", name="a week")
    want(status == 200 and len(year["places"]) == 3 and year["months"] == [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6], f"the year of a trip's places: {year}")
    status, book = ask(do="year", coldest_c=-5, hottest_c=34, chance_frac=0.7)
    want(status == 200 and book["coldest_c"] == -5 and len(book["places"]) == len(server.ask("GET", "/api/1/places")[1]["places"]), f"the year of the book's: {book}")
    for k in range(12):
        mild = [one["name"] for one in book["places"] if min(one["months"][k]["warm_frac"], one["months"][k]["cool_frac"]) >= 0.7]
        want([one["name"] for one in book["places"] if one["months"][k]["is_mild"]] == mild, f"month {k}: mild at {mild}")
        want(sum(one["months"][k]["is_way"] for one in book["places"]) == bool(mild), f"month {k}: at one of them")
    draft = ask(do="year", trip=TRIP, coldest_c=0)
    want(draft[0] == 200 and draft[1]["places"], f"of a trip that is a text still: {draft}")
    want(ask(do="year", coldest_c=200)[0] == 422 and ask(do="year", name="b")[0] == 422 and ask(do="year", chance_frac="much")[0] == 422, "what is no year")
    want(ask(do="dance")[0] == 422 and ask(do="show", name="b")[0] == 422, "what is no request")
    want(server.ask("POST", "/api/1/trip", "", raw=True)[0] == 400, "no body")
    want(ask(do="plan", trip=TRIP.replace("from: 2026-07-10", "camp: /etc/passwd, from: 2026-07-10"))[0] == 409, "no file of this machine")
    for name in ("a week", "a week 2"):
        ask(do="forget", name=name)
    want(ask(do="list")[1]["trips"] == [], "all are forgotten")


def scenarios(server):
    scenario = server.ask("GET", "/api/1/scenario")[1]["scenario"]
    want(server.ask("POST", "/api/1/check", {"scenario": scenario})[1]["is_right"], "its own scenario is right")
    for start in server.ask("GET", "/api/1/starts")[1]["starts"]:
        made = json.dumps({"leeway": 1, "rig": start["rig"], "crew": "2 adults",
                           "place": {"latitude": "38.2 N", "longitude": "111.1 W", "elevation": "6200 ft"},
                           "stay": {"arrive": "2026-06-10 15:00"}})
        checked = server.ask("POST", "/api/1/check", {"scenario": made})[1]
        want(checked["is_right"], f"the ready-made {start['id']} is right: {checked['says']}")
    secret = os.path.join(tempfile.gettempdir(), "leeway-secret")
    for weather in (f"weather: {{file: {secret}}}", f"weather: {secret}", f"weather: {{forecast: {secret}}}"):
        text = re.sub(r"(?m)^weather:.*\n?", "", scenario) + weather + "\n"
        checked = server.ask("POST", "/api/1/check", {"scenario": text})[1]
        want(not checked["is_right"] and "names a file" in checked["says"][0], f"{weather} opens no file: {checked['says']}")
        want(server.ask("POST", "/api/1/begin", {"scenario": text})[0] == 409, f"{weather} begins nothing")
    for change in ("weather.file%3D", "weather%3D", "weather.ghcn%3D"):
        want(server.ask("GET", f"/api/1/outlook?draws=1&set={change}{secret}")[0] == 409, f"set={change} opens no file")
    want(server.ask("POST", "/api/1/begin", {"scenario": "leeway: 1\nrig: {kind: boat}\n"})[0] == 422, "no boat")


def exactly_once(server, book):
    before = len(entries_in(server))
    one = entry(["main=1/3", "grey=2/3"])
    status, first = server.ask("POST", "/api/1/entries", one)
    want(status == 200 and not first["repeated"] and len(first["says"]) == 2, f"two readings: {first}")
    status, again = server.ask("POST", "/api/1/entries", one)
    want(again["repeated"] and again["says"] == first["says"], "the same id gets the first answer")
    server.end(signal.SIGKILL)
    server = Server(book, now_s=NOW_S + int(time.monotonic() - BEGAN))  # a clock set back by minutes would be doubted
    status, again = server.ask("POST", "/api/1/entries", one)
    want(again["repeated"] and again["says"] == first["says"], "also after it was killed and started again")
    want(len(entries_in(server)) == before + 2, "nothing is doubled")
    undo = {"id": secrets.token_hex(16), "device": "a phone", "undoes": one["id"]}
    want(len(server.ask("POST", "/api/1/undo", undo)[1]["says"]) == 2, "the whole line is taken back")
    want(server.ask("POST", "/api/1/undo", undo)[1]["repeated"], "once")
    want(len(entries_in(server)) == before, "and is gone from the history")
    want(server.ask("POST", "/api/1/entries", entry(["dumped grey black"]))[0] == 200, "an event as one text")
    sent = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(NOW_S + time.monotonic() - BEGAN - 600))
    slow = entry(["main=2/3"], at="2026-06-16T08:30:00Z", sent=sent)
    says = server.ask("POST", "/api/1/entries", slow)[1]["says"]
    want("slow" in says[-1], f"a clock that is ten minutes slow is put right: {says}")
    # Its clock and the server's were set in whole seconds, and a busy machine needs some of them in between.
    near = [e["at"] for e in entries_in(server) if "2026-06-16T08:39:50" <= e["at"] <= "2026-06-16T08:40:30"]
    want(near, "and the reading is where it was")
    for bad in ({"words": ["main=1/3"]}, entry([]), entry([1]), entry("main=1/3"), {"id": "1", "words": ["main=1/3"]}):
        want(server.ask("POST", "/api/1/entries", bad)[0] == 400, f"{bad} is refused")
    for bad in (["main=1/2"], ["fesh=1/3"], ["main=1/3", "gray=2"]):
        want(server.ask("POST", "/api/1/entries", entry(bad))[0] == 422, f"{bad} is refused")
    for text in ("", "[]", "{", "nul", '{"id":"x","id":"y"}', "[" * 5000):
        want(server.ask("POST", "/api/1/entries", text, {"Content-Type": "application/json"}, raw=True)[0] == 400,
             f"the body {text[:20]} is refused")
    return server


def wrong_clock(book):
    """A board without a battery for its clock began again ten days ago: a phone says what time it is, once."""
    iso = lambda s: time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(s))
    server = Server(book, now_s=NOW_S - 10 * 86400)
    want(server.ask("GET", "/api/1/state")[1]["is_clock_doubted"], "a clock before the newest entry is doubted")
    for path in ("outlook?draws=1", "today?draws=1"):
        status, said = server.ask("GET", f"/api/1/{path}")
        want(status == 409 and "what time it is" in said["says"], f"{path} is not planned by it: {said}")
    want(server.ask("POST", "/api/1/entries", entry(["main=1/3"]))[0] == 409, "nor is an entry without a time taken")
    want(server.ask("POST", "/api/1/clock", {})[0] == 400, "a clock needs a time")
    want(server.ask("POST", "/api/1/clock", {"sent": iso(NOW_S - 20 * 86400)})[0] == 422, "one before the newest entry is none")
    state = server.ask("POST", "/api/1/clock", {"sent": iso(NOW_S + 60)})[1]
    want(not state["is_clock_doubted"], f"a phone's time is taken: {state}")
    state = server.ask("POST", "/api/1/clock", {"sent": iso(NOW_S + 90 * 86400)})[1]
    want(state["now"].startswith("2026-06-1"), f"a clock that is right is not set by a phone: {state['now']}")
    want(server.ask("GET", "/api/1/today?draws=1")[0] == 200, "and today is told again")
    server.end()
    server = Server(book, now_s=NOW_S - 10 * 86400)
    want(not server.ask("GET", "/api/1/state")[1]["is_clock_doubted"], "what was said holds while the machine runs")
    server.end()


def begun_ahead(folder):
    """A stay begun over the wire: its outlook is worked out though nobody asks, and is the first forecast of the stay."""
    import sqlite3
    book = os.path.join(folder, "ahead.sqlite")
    server = Server(book)
    made = json.dumps({"leeway": 1, "rig": "van", "crew": "1 adult", "stay": {"arrive": "2026-06-15 15:00"},
                       "place": {"latitude": "38.2 N", "longitude": "111.1 W", "elevation": "6200 ft"}})
    want(server.ask("POST", "/api/1/begin", {"scenario": made})[0] == 200, "a stay begins")
    def kept():
        with sqlite3.connect(f"file:{book}?mode=ro", uri=True) as base:
            return [row[0] for row in base.execute("SELECT draws FROM forecast")]
    began = time.monotonic()
    while not kept() and time.monotonic() - began < 60:
        time.sleep(0.1)
    want(kept() == [1000], f"the first forecast is kept: {kept()}")
    for n in range(5): # each gives up the work ahead of the one before
        want(server.ask("POST", "/api/1/entries", entry([f"fresh={n % 3 + 1}/3" if n % 3 < 2 else "fresh=full"]))[0] == 200, "a reading")
    want(server.ask("GET", "/api/1/outlook?draws=1")[0] == 200, "others are answered meanwhile")
    leaving(server)
    want(server.end() == 0, "a clean stop in the middle of it")


def leaving(server):
    """A stay ends over the wire, is told about, and goes on again."""
    want(server.ask("GET", "/api/1/left")[0] == 409, "while a stay goes on none is left")
    want(server.ask("POST", "/api/1/left", {"at": "2026-06-14T15:00Z"})[0] == 422, "none ends before its arrival")
    want(server.ask("POST", "/api/1/left", {"at": "yesterday"})[0] == 400, "an instant is wanted")
    want(server.ask("POST", "/api/1/left", {"at": "2026-06-16T00:00Z"})[0] == 409, "nor before its last entry")
    status, left = server.ask("POST", "/api/1/left", {})
    want(status == 200 and left["says"][0].startswith("1 night at ") and len(left["supplies"]) == 7, f"it is left: {left}")
    with open("docs/stay.schema.json") as stay:
        jsonschema.validate(left["stay"], json.load(stay))
    fresh = next(one for one in left["supplies"] if one["supply"] == "fresh")
    want(re.fullmatch(r"[\d.]+ \([\d.]+ to ([\d.]+|beyond)\)", fresh["forecast_days"]), f"what was forecast: {fresh}")
    want(server.ask("GET", "/api/1/left")[1] == left, "and told about again")
    want(server.ask("POST", "/api/1/left", {})[0] == 409, "it ends once")
    want(server.ask("GET", "/api/1/state")[1]["stay"] is None, "no stay goes on")
    status, gone_on = server.ask("DELETE", "/api/1/left")
    want(status == 200 and gone_on["says"][0].endswith("goes on."), f"it goes on: {gone_on}")
    want(server.ask("GET", "/api/1/state")[1]["stay"] is not None and server.ask("DELETE", "/api/1/left")[0] == 409, "and none is left")


def several_at_once(server):
    before = len(entries_in(server))
    lines = [entry([f"main={n % 3 + 1}/3" if n % 3 < 2 else "main=full"]) for n in range(12)]
    def send(mine):
        for line in mine:
            for _ in range(2):
                server.ask("POST", "/api/1/entries", line)
    threads = [threading.Thread(target=send, args=(lines[i::2],)) for i in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    want(len(entries_in(server)) == before + 12, "two phones at once: nothing lost, nothing doubled")


def gate(server):
    own = f"127.0.0.1:{server.port}"
    want(server.ask("GET", "/api/1/state", headers={"Host": "evil.example"})[0] == 421, "another Host gets nothing")
    for origin in ("http://evil.example", "null", "https://" + own):
        want(server.ask("POST", "/api/1/entries", entry(["main=1/3"]), {"Origin": origin})[0] == 403, f"Origin {origin}")
        want(server.ask("GET", "/api/1/state", headers={"Origin": origin})[0] == 403, f"GET from {origin}")
    want(server.ask("GET", "/api/1/state", headers={"Origin": "http://" + own})[0] == 200, "its own Origin")
    form = {"Content-Type": "application/x-www-form-urlencoded"}
    want(server.ask("POST", "/api/1/entries", "id=1", form, raw=True)[0] == 415, "a form is no JSON")
    want(server.ask("POST", "/plain", "main=1/3", form, raw=True)[0] == 403, "a form from nowhere")
    want(server.ask("POST", "/plain", "main=2%2F3&event=", {**form, "Origin": "http://" + own}, raw=True)[0] == 200,
         "the form of its own page")
    for head in ("Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy", "X-Frame-Options"):
        want(server.last.getheader(head), f"{head} is sent")
    want(server.ask("GET", "/../etc/passwd")[0] == 404 and server.ask("GET", "//plain.css")[0] == 404, "no other files")


def limits(server):
    want(server.ask("POST", "/api/1/check", "x" * (300 << 10), {"Content-Type": "application/json"}, raw=True)[0] == 413
         if not raw_oversize(server) else True, "a body that is too long")
    line = socket.create_connection(("127.0.0.1", server.port))
    line.sendall(b"POST /api/1/check HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n")
    want(b" 411 " in line.recv(64), "a body of no stated length")
    line.close()
    line = socket.create_connection(("127.0.0.1", server.port))
    line.sendall(b"GET /" + b"a" * 70000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n")
    answer = line.recv(64)
    want(answer == b"" or b" 414 " in answer or b" 413 " in answer or b" 431 " in answer, f"an endless address: {answer}")
    line.close()
    want(server.ask("GET", "/api/1/state")[0] == 200, "and it goes on")


def raw_oversize(server):
    """Only the head is sent: it is refused before the body comes."""
    line = socket.create_connection(("127.0.0.1", server.port))
    line.sendall(b"POST /api/1/check HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
                 b"Content-Length: 307200\r\n\r\n")
    is_refused = b" 413 " in line.recv(64)
    line.close()
    want(is_refused, "a body that is too long")
    return True


def slow_loris(server):
    """A byte a second: ended after 20 s, while others are served. Waits in a thread, beside the other tests."""
    lines = [socket.create_connection(("127.0.0.1", server.port)) for _ in range(30)]
    for line in lines:
        line.sendall(b"GET /api/1/state HTTP/1.1\r\nHost: local")
    began = time.monotonic()
    def wait():
        lines[0].settimeout(40)
        while True:
            try:
                lines[0].sendall(b"h")
                lines[0].settimeout(1)
                if lines[0].recv(1) == b"":
                    break
            except TimeoutError:
                pass
            except OSError:
                break
            if time.monotonic() - began > 35:
                break
        want(15 < time.monotonic() - began < 30, f"a request that trickles is ended: {time.monotonic() - began:.0f} s")
        for line in lines:
            line.close()
    thread = threading.Thread(target=wait)
    thread.start()
    want(server.ask("GET", "/api/1/state")[0] == 200, "others are served meanwhile")
    return thread


def give_network():
    """A network of this test's own, in a namespace that goes with it, with an address that is not loopback; None: not to be had."""
    import fcntl
    import struct
    own, uid, gid = "10.99.0.1", os.getuid(), os.getgid()
    CLONE_NEWUSER, CLONE_NEWNET, SIOCSIFADDR, SIOCSIFFLAGS, IFF_UP = 0x10000000, 0x40000000, 0x8916, 0x8914, 1
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.unshare(CLONE_NEWNET) != 0:
        if libc.unshare(CLONE_NEWUSER | CLONE_NEWNET) != 0:
            return None
        for name, text in (("setgroups", "deny"), ("uid_map", f"0 {uid} 1"), ("gid_map", f"0 {gid} 1")):
            with open(f"/proc/self/{name}", "w") as file:
                file.write(text)
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
            for name, address in ((b"lo", "127.0.0.1"), (b"lo:1", own)):
                fcntl.ioctl(line, SIOCSIFADDR, struct.pack("16sH2s4s8s", name, socket.AF_INET, b"", socket.inet_aton(address), b""))
            fcntl.ioctl(line, SIOCSIFFLAGS, struct.pack("16sH14s", b"lo", IFF_UP, b""))
    except OSError:
        return None
    return own


def plain(server, own):
    """A phone without scripts: a form asks for the code, and its cookie lets in."""
    host = f"{own}:{server.port}"
    def ask(method, path, body=None, headers=None):
        line = http.client.HTTPConnection(own, server.port, timeout=60)
        sent = {"Content-Type": "application/x-www-form-urlencoded", "Origin": "http://" + host} if body is not None else {}
        line.request(method, path, body, {**sent, **(headers or {})})
        answer = line.getresponse()
        text = answer.read().decode()
        line.close()
        return answer, text
    code = re.search(r"type (\d{6})", server.process.stdout.readline()).group(1)
    answer, text = ask("GET", "/plain")
    want(answer.status == 401 and 'action="/plain/pair"' in text and "gal" not in text, f"a form asks for the code: {text[:200]}")
    want(ask("GET", "/plain.css")[0].status == 200, "in its own style")
    want(ask("GET", "/plain.svg")[0].status == 401, "and shows nothing of the camp")
    want(ask("POST", "/plain", "main=1%2F3&event=")[0].status == 401, "nor takes a reading")
    want(ask("POST", "/plain/pair", f"code={code}&device=x", {"Origin": "http://evil.example"})[0].status == 403, "from elsewhere")
    answer, text = ask("POST", "/plain/pair", "code=12+34&device=old+phone")
    want(answer.status == 403 and 'action="/plain/pair"' in text, f"a wrong code: {answer.status}")
    answer, text = ask("POST", "/plain/pair", f"code={code[:3]}+{code[3:]}&device=old+phone")
    cookie = (answer.getheader("Set-Cookie") or "").split(";")[0]
    want(answer.status == 200 and "known now" in text and cookie, f"the code lets in: {answer.status}")
    answer, text = ask("GET", "/plain", headers={"Cookie": cookie})
    want(answer.status == 200 and "plain.svg" in text, f"and the plain page is there: {answer.status}")
    answer, text = ask("POST", "/plain", "main=9%2F3&event=", {"Cookie": cookie})
    want(answer.status == 422 and text.startswith("<!doctype html>"), f"what is wrong is said as a page: {text[:80]}")


def places(folder):
    """A book of its own with the demo's household, invented places and small map files."""
    book = os.path.join(folder, "places.sqlite")
    server = Server(book, demo="demo")
    leeway = os.path.join(os.path.dirname(PROGRAM), "leeway")
    for file in ("land/land.geojson", "places/services.geojson", "roads/roads.geojson"):
        done = subprocess.run([leeway, "import", "--book", book, "tests/reference/" + file, "--source", file,
                               "--credit", "invented, for tests"], stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        want(done.returncode == 0, f"{file} is taken in: {done.stdout[-300:]}")
    flat = {"name": "Larkspur Flat", "latitude_deg": 38.1, "longitude_deg": -112.4, "elevation_m": 1890,
            "change": ["fee=0 USD", "road.surface=gravel", "rules.office=Juniper office"]}
    status, made = server.ask("POST", "/api/1/places", flat)
    want(status == 200 and made["about"]["fee_usd"] == 0 and made["rules"]["office"] == "Juniper office", f"added: {made}")
    want(server.ask("POST", "/api/1/places", flat)[0] == 409, "a name that is there")
    status, made = server.ask("POST", "/api/1/places", {**flat, "name": "Larkspur Flats", "latitude_deg": 38.1004})
    want(any(one["name"] == "Larkspur Flat" for one in made["same"]), f"what may be the same is told: {made}")
    for wrong_one in ({**flat, "name": "A", "latitude_deg": 95}, {**flat, "name": "B", "change": ["fee=cheap"]}):
        want(server.ask("POST", "/api/1/places", wrong_one)[0] == 422, f"refused: {wrong_one}")
    for wrong_one in ({"name": "C"}, {**flat, "name": "", "change": []}, {**flat, "name": "D", "change": "fee=0 USD"}):
        want(server.ask("POST", "/api/1/places", wrong_one)[0] == 400, f"not of its form: {wrong_one}")
    status, made = server.ask("PUT", "/api/1/place", {"name": "Larkspur Flat", "change": ["confirmed=2026-05-30", "notes=shade at noon"]})
    want(status == 200 and made["about"]["confirmed"] == "2026-05-30", f"changed: {made}")
    want(server.ask("PUT", "/api/1/place", {"name": "Nowhere", "change": ["fee="]})[0] == 404, "none of that name")
    want(server.ask("PUT", "/api/1/place", {"name": "Larkspur Flat", "change": []})[0] == 400, "nothing to change")
    at = "name=Larkspur+Flat"
    sheet = server.ask("GET", f"/api/1/place/sheet?{at}")[1]
    want(any(line["what"] == "road" and "gravel" in line["text"] for line in sheet["lines"]) and
         any("Ask the local office" in line["text"] for line in sheet["lines"]) and
         "Larkspur Field Office" in sheet["lands"][0]["land"], f"its sheet: {sheet}")
    around = server.ask("GET", f"/api/1/place/around?{at}")[1]["around"]
    dump = [one for one in around if one["kind"] == "dump"][0]
    want(dump["name"] == "Larkspur Flat Dump" and dump["way_m"] < 300 and dump["is_guess"], f"around: {dump}")
    want(len(server.ask("GET", f"/api/1/place/climate?{at}")[1]["months"]) == 12, "its climate")
    sun = server.ask("GET", f"/api/1/place/sun?{at}&on=2026-06-21&days=2&every=30")[1]
    # At 38 N the sun is up 14 h 49 min on the longest day (USNO tables, from memory; its centre above a level skyline some 14.7 h).
    want(not sun["has_terrain"] and 14.4 < sun["days"][0]["level_h"] < 14.9 and sun["days"][1]["level_h"] < sun["days"][0]["level_h"], f"its sun: {sun}")
    want(server.ask("GET", f"/api/1/place/sun?{at}&days=99")[0] == 400, "too many days")
    want(server.ask("GET", f"/api/1/place/sun?{at}&map_m=300")[1]["map"] is None, "no map of the sun where there is no terrain")
    want(any("Flat Road, track: gravel; high clearance" in line["text"] for line in sheet["lines"]), f"its road by the map: {sheet}")
    done = subprocess.run([leeway, "import", "--book", book, "tests/reference/terrain/N38W112.hgt.gz"], stdout=subprocess.PIPE)
    want(done.returncode == 0, "a tile of terrain")
    server.ask("POST", "/api/1/places", {**flat, "name": "Far Knob", "latitude_deg": 38.2, "longitude_deg": -111.1})
    knob = server.ask("GET", "/api/1/place/sun?name=Far+Knob&on=2026-12-21&days=1&every=1&map_m=1000")[1]
    told = json.loads(subprocess.run([leeway, "sun", "Far Knob", "--on", "2026-12-21", "--days", "1", "--map", "1000 m", "--json", "--book", book,
                                      "--terrain", os.path.join(folder, "terrain")], stdout=subprocess.PIPE).stdout)
    want(knob["has_terrain"] and knob["map"] and knob["map"] == told["map"], f"where the sun is, as the command tells: {str(knob)[:300]}")
    want(server.ask("GET", "/api/1/place/sun?name=Far+Knob&map_m=7")[0] == 400, "a map of 7 m")
    want(server.ask("DELETE", "/api/1/place?name=Far+Knob")[0] == 200, "out again")
    want(server.ask("GET", f"/api/1/place/signal?{at}")[1]["headline"], "its signal in a sentence")
    run = server.ask("GET", f"/api/1/place/signal/run?{at}")[1]
    want(run["masts"] == 0 and run["spots"] and not any(one["is_found"] for one in run["spots"]), f"no masts, no spot: {run}")
    server.ask("POST", "/api/1/places", {**flat, "name": "Far Knob", "latitude_deg": 38.25, "longitude_deg": -111.35})
    run = server.ask("GET", "/api/1/place/signal/run?name=Far+Knob&chance=60")[1]
    told = json.loads(subprocess.run([leeway, "signal", "Far Knob", "--run=60%", "--json", "--book", book], stdout=subprocess.PIPE).stdout)
    want(run["spots"] and run == {**told, "program": run["program"]} and run["wanted_frac"] == 0.6, f"the spots that the command tells: {run}, {told}")
    want(server.ask("GET", "/api/1/place/signal/run?name=Far+Knob&chance=0")[0] == 400, "no chance at all")
    want(server.ask("DELETE", "/api/1/place?name=Far+Knob")[0] == 200, "out again")
    for what in ("sheet", "around", "climate", "sun", "signal", "signal/run"):
        want(server.ask("GET", f"/api/1/place/{what}?name=Nowhere")[0] == 404, f"the {what} of a place that is none")
    near = "near=Larkspur+Flat"
    listed = lambda wish: [one["name"] for one in server.ask("GET", f"/api/1/places?{wish}")[1]["places"]]
    want("Larkspur Flats" in listed(f"{near}&drive_s=3600") and len(listed(f"{near}&drive_s=3600")) == 2, "within an hour's drive")
    want("Larkspur Flat" in listed("supply=dump,water"), "with a dump near by")
    want(listed("manager=nobody") == [], "a manager that is none")
    for path in ("places?drive_s=60", "places?supply=beer", "places?night_low_c=0", "places?signal_frac=2", "places/rank",
                 "places/compare?name=Larkspur+Flat&from=2026-06-20&until=2026-06-27", "places/give", "map?west=1", "map"):
        want(server.ask("GET", f"/api/1/{path}")[0] == 400, f"GET {path} is refused")
    dates = "from=2026-06-20&until=2026-06-27"
    both = server.ask("GET", f"/api/1/places/compare?{at}&name=Larkspur+Flats&{dates}")[1]["places"]
    want([one["name"] for one in both] == ["Larkspur Flat", "Larkspur Flats"] and both[0]["days"] > 0, f"compared: {both}")
    ranked = server.ask("GET", f"/api/1/places/rank?{dates}&{near}&best=2")[1]
    want(len(ranked["places"]) == 3 and sum(one["is_drawn"] for one in ranked["places"]) == 2, f"ranked: {ranked}")
    want(server.ask("GET", "/api/1/progress")[1]["of"] >= 0, "nothing is being worked out, or something is")
    window = "west=-113.5&south=37.5&east=-111.5&north=39.5"
    seen = server.ask("GET", f"/api/1/map?{window}&kinds=dump,water&lands=1&width_px=800")[1]
    want({"Larkspur Field Office", "High Juniper Forest"} <= {one["name"] for one in seen["lands"]} and
         {"invented, for tests"} <= {one["credit"] for one in seen["credits"]}, f"lands on the map: {seen}")
    want(seen["spots"] and all(set(one["kinds"]) & {"dump", "water"} for one in seen["spots"]), f"spots on the map: {seen}")
    want(not server.ask("GET", f"/api/1/map?{window}")[1]["spots"], "none where no kinds are asked for")
    roads = server.ask("GET", f"/api/1/map?{window}&roads=1&width_px=800")[1]["roads"]
    want([one["name"] for one in roads] == ["High Road"], f"a window of 200 km has its great roads: {roads}")
    roads = server.ask("GET", "/api/1/map?west=-112.5&south=38&east=-112.3&north=38.2&roads=1&width_px=800")[1]["roads"]
    want([(one["name"], one["is_paved"], one["needs"], len(one["lines"])) for one in roads] ==
         [("High Road", "yes", None, 2), ("Flat Road", "no", "high clearance", 1)], f"roads of a near window: {roads}")
    want(server.ask("GET", "/api/1/map?west=178&south=49&east=-178&north=52&lands=1")[1]["lands"], "over the seam")
    wide = server.ask("GET", "/api/1/map?west=-170&south=-60&east=170&north=80&lands=1&width_px=300")[1]
    want(all(one["name"] != "High Juniper Forest" for one in wide["lands"]), "what is smaller than three pixels is not drawn")
    handed = server.ask("GET", f"/api/1/places/give?{at}&as=Ottilie")[1]
    side = len(handed["square"])
    want(side >= 21 and side % 4 == 1 and handed["square"][0].startswith("1111111"), f"a square (ISO/IEC 18004: 17 + 4 v modules): {side}")
    want(server.ask("DELETE", f"/api/1/place?{at}")[0] == 200 and server.ask("DELETE", f"/api/1/place?{at}")[0] == 404, "forgotten once")
    status, taken = server.ask("POST", "/api/1/places/take", {"text": handed["text"]})
    want(status == 200 and taken["taken"] == 1 and taken["from"] == "Ottilie", f"taken in: {taken}")
    want(server.ask("POST", "/api/1/places/take", {"text": handed["text"]})[1]["places"][0]["is_there"], "once only")
    want(server.ask("POST", "/api/1/places/take", {"text": "fee: 0"})[0] == 422, "no file of places")
    want(server.ask("POST", "/api/1/places/take", {})[0] == 400, "no text")
    stayed = server.ask("GET", "/api/1/state")[1]["stay"]["place"].replace(" ", "+")
    want(server.ask("DELETE", f"/api/1/place?name={stayed}")[0] == 409, "where a stay was, a place remains")
    want(server.end() == 0, "a clean stop")


def lan(book):
    own = give_network()
    if not own:
        print("no network can be made here: pairing over it is left out")
        return
    server = Server(book, reach="lan", name="camper.test")
    def ask(method, path, body=None, headers=None):
        line = http.client.HTTPConnection(own, server.port, timeout=30)
        sent = {"Content-Type": "application/json"} if body is not None else {}
        sent.update(headers or {})
        line.request(method, path, None if body is None else json.dumps(body), sent)
        answer = line.getresponse()
        text = answer.read()
        line.close()
        return answer, json.loads(text)
    for method, path, body in (("GET", "/api/1/state", None), ("GET", "/api/1/outlook?draws=1", None),
                               ("POST", "/api/1/entries", entry(["main=1/3"])), ("GET", "/api/1/nothing", None)):
        want(ask(method, path, body)[0].status == 401, f"a device that is not paired gets nothing: {method} {path}")
    want(ask("POST", "/api/1/pair", {"code": "abcdef", "device": "a thief"})[0].status == 403, "a wrong code")
    answer, paired = ask("POST", "/api/1/pair", {"code": server.code, "device": "Anna's phone"})
    want(answer.status == 200, f"the code lets in: {paired}")
    want("HttpOnly" in (answer.getheader("Set-Cookie") or "") and "SameSite=Strict" in answer.getheader("Set-Cookie"), "cookie")
    bearer = {"Authorization": "Bearer " + paired.get("token", "")}
    want(ask("GET", "/api/1/state", headers=bearer)[0].status == 200, "a paired device is served")
    want(ask("GET", "/api/1/state", headers={"Cookie": "leeway_device=" + paired.get("token", "")})[0].status == 200, "by cookie")
    want(ask("GET", "/api/1/state", headers={"Authorization": "Bearer " + "0" * 64})[0].status == 401, "another token")
    want(ask("POST", "/api/1/pair", {"code": server.code, "device": "a second"})[0].status == 403, "a code is good once")
    want(ask("GET", "/api/1/devices", headers=bearer)[0].status == 403, "devices are not theirs to see")
    camp = ask("GET", "/api/1/places", headers=bearer)[1]["places"][0]["name"]
    for change in ("terrain=/etc", "photos=/etc/passwd", "about={photos: [/etc/passwd]}", "towers+=x"):
        want(ask("PUT", "/api/1/place", {"name": camp, "change": [change]}, bearer)[0].status == 409, f"a device names no files: {change}")
    want(ask("GET", "/api/1/state", headers={**bearer, "Host": "evil.example"})[0].status == 421, "another Host")
    want(ask("GET", "/api/1/state", headers={**bearer, "Host": f"camper.test:{server.port}"})[0].status == 200, "--name")
    plain(server, own)
    devices = server.ask("GET", "/api/1/devices")[1]["devices"]
    want([d["name"] for d in devices] == ["Anna's phone", "old phone"], f"devices: {devices}")
    want(len(server.ask("DELETE", f"/api/1/devices/{devices[0]['id']}")[1]["devices"]) == 1, "it is revoked")
    want(ask("GET", "/api/1/state", headers=bearer)[0].status == 401, "and gets nothing any more")
    with open(book, "rb") as file, open(book + "-wal", "rb") as log:
        want(paired.get("token", "x").encode() not in file.read() + log.read(), "the book does not hold the token")
    want(server.end() == 0, "a clean stop")


with tempfile.TemporaryDirectory() as folder:
    book = os.path.join(folder, "book.sqlite")
    server = Server(book)
    want(server.ask("POST", "/api/1/pair", {"code": "000000"})[0] == 404, "there is nothing to pair on this machine alone")
    first_start(server)
    waiting = slow_loris(server)
    every_path(server)
    trips(server)
    scenarios(server)
    gate(server)
    limits(server)
    waiting.join()
    server = exactly_once(server, book)
    several_at_once(server)
    busy = threading.Thread(target=lambda: server.ask("GET", "/api/1/outlook?draws=4000"))
    busy.start()
    time.sleep(0.3)
    began = time.monotonic()
    want(server.end(signal.SIGINT) == 0, "Ctrl-C ends it cleanly")
    want(time.monotonic() - began < 20, f"and soon, though it was at work: {time.monotonic() - began:.1f} s")
    try:
        busy.join()
    except (OSError, http.client.HTTPException):
        pass
    begun_ahead(folder)
    places(folder)
    wrong_clock(book)
    lan(book)

print("server:", "all held" if not wrong else f"{len(wrong)} wrong")
sys.exit(1 if wrong else 0)
