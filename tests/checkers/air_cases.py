"""Random builds for the tests of the coupled solve, as text: radiators in their air, a case, vents, one state.

Answers   builds of every form a file can state, and what separates a Solution from what the checker found
Assumes   invented numbers, plausible in size; what is rather special is drawn only where it is asked for by name
"""

from random import Random

from checkers.air_builds import FAN_POINTS, PORTS, PUMP_POINTS, Build, card, joints, part, ring, rows

from headrace.errors import NoBalance
from headrace.solve.solution import Solution

# What a build may have beside the usual, by name:
SHARED = "some case air"  # a stack that draws a part of its air from the case
OWN = "own exhaust in a case"  # a stack at the case that breathes some of its own exhaust
INSIDE = "in the case"  # a stack that draws from the case and blows back into it
FED = "exhaust in a case"  # a stack that breathes from one that blows into the case


# ---------------------------------------------------------------- cards


def water_loss(rng, size=1.0):
    base = size * rng.uniform(0.5, 2.0)
    points = [(q, base * q ** rng.uniform(1.7, 1.9)) for q in (2, 4)]
    return f'loss = {{ flow = "L/min", loss = "kPa", points = {rows(points)} }}'


def radiator_card(rng, id_, places, form):
    size = places / 3 * rng.uniform(0.7, 1.3)
    lines = [PORTS, f"fan_places = {places}", 'fan_size = "120 mm"', water_loss(rng, 0.3)]
    if form == "geometry":
        return card(id_, "radiator", *lines, geometry(rng, places))
    air = [(v * size, 12.0 * size * (v / 40.0) ** rng.uniform(0.6, 0.75)) for v in (40, 90, 180)]
    air = [(air[0][0], air[0][1]), (air[1][0], max(air[1][1], air[0][1])), (air[2][0], max(y for _, y in air))]
    still = [(0.0, 0.04 * air[0][1])] if rng.random() < 0.3 else []
    if form == "points":
        lines.append(f'strength = {{ air = "m3/h", strength = "W/K", points = {rows([*still, *air])} }}')
    elif form == "speed":
        lines.append(
            f'strength = {{ speed = "rpm", strength = "W/K", points = {rows([(10 * v, g) for v, g in air])} }}'
        )
    else:
        arrangement = rng.choice(("both unmixed", "air mixed", "coolant mixed", "counterflow"))
        law = f"ka = {5 * size:.4g}, ma = {rng.uniform(0.4, 0.7):.3g}, kw = {130 * size:.4g}, mw = 0.25"
        lines.append(f'ua = {{ air = "m3/h", flow = "L/min", {law}, arrangement = "{arrangement}" }}')
    first = rng.uniform(2.0, 6.0)
    loss = [(60 * size, first), (120 * size, first * 2.0 ** rng.uniform(1.05, 2.0))]
    return card(id_, "radiator", *lines, f'air_loss = {{ air = "m3/h", loss = "Pa", points = {rows(loss)} }}')


def geometry(rng, places):
    louvres = 'louvre_pitch = "1.1 mm", louvre_angle = "27 deg", louvre_length = "5.8 mm"'
    fins = f'fins = "louvred", {louvres}' if rng.random() < 0.7 else 'fins = "plain"'
    tubes, passes = rng.randint(10, 14), rng.choice((1, 2))
    return (
        f'geometry = {{ {fins}, tube_length = "{115 * places + 10} mm", tubes = {tubes}, rows = {rng.choice((1, 1, 2))}, '
        f'passes = {passes}, tube_height = "2 mm", tube_depth = "{rng.uniform(14, 26):.3g} mm", tube_wall = "0.25 mm", '
        f'fin_height = "7.2 mm", fin_pitch = "{rng.uniform(1.3, 2.2):.4g} mm", fin_thickness = "0.06 mm", '
        'fin_conductivity = "360 W/(m K)" }'
    )


def fan_card(rng, id_):
    wide, strong = rng.uniform(0.7, 1.4), rng.uniform(0.6, 1.6)
    points = rng.choice((FAN_POINTS, ((0, 29.0), (105, 0.0)), FAN_POINTS[1:-1]))
    points = [(v * wide, p * strong) for v, p in points]
    lines = ['size = "120 mm"', 'full_speed = "2000 rpm"'] + ['current = "0.2 A"'] * (rng.random() < 0.5)
    curve = f'curve = {{ air = "m3/h", pressure = "Pa", points = {rows(points)}, speed = "2000 rpm" }}'
    return card(id_, "fan", *lines, curve)


def usual_cards(rng):
    lines = [f'curve = {{ flow = "L/min", head = "kPa", points = {rows(PUMP_POINTS)} }}', 'power = "20 W"']
    pump = card("pump", "pump-reservoir", 'port = [{ name = "in", way = "in" }, { name = "out", way = "out" }]', *lines)
    node = rng.choice(("inlet", "mean", "outlet"))
    resistance = f'resistance = {{ node = "{node}", r0 = "0.03 K/W", c = "0.03 K/W", n = 0.5, at = "1 L/min" }}'
    block = card("block", "block", PORTS, water_loss(rng), resistance)
    tee_ports = 'port = [{ name = "one" }, { name = "two" }, { name = "three" }]'
    ways = 'channel = [{ from = "one", to = "two", loss = { k = 0.5, bore = "10 mm" } }, '
    ways += '{ from = "one", to = "three", loss = { k = 0.5, bore = "10 mm" } }]'
    mesh = f'face_loss = "{rng.uniform(1, 8):.3g} Pa"\nface_velocity = "1 m/s"\nexponent = {rng.uniform(1.1, 2):.3g}'
    return "format = 1\n" + pump + block + card("tee", "splitter", tee_ports, ways) + card("mesh", "air-filter", mesh)


# ---------------------------------------------------------------- water


def arms(rng, pump, parts):
    """Pump, a splitter, two arms, and a splitter back to the pump; some parts stand the other way round."""
    cut = rng.randint(1, len(parts) - 1)
    pairs = []
    for port, arm in (("two", parts[:cut]), ("three", parts[cut:])):
        ends = [(f"{id_}.in", f"{id_}.out")[:: -1 if rng.random() < 0.3 else 1] for id_ in arm]
        stops = [f"split.{port}", *(end for pair in ends for end in pair), f"join.{port}"]
        pairs += zip(stops[::2], stops[1::2], strict=True)
    return joints((f"{pump}.out", "split.one"), *pairs, ("join.one", f"{pump}.in"))


# ---------------------------------------------------------------- air


def _stack_air(rng, form, n, mount):
    """Lines that say how much air a stack has."""
    how = rng.choice(("curve", "curve", "curve", "all", "each")) if form != "speed" else "curve"
    if how == "all":
        return [f"fans = {n}", f'air = "{rng.uniform(25, 80) * n:.4g} m3/h"']
    if how == "each":
        return ['fan = "fan"', f'air_per_fan = "{rng.uniform(25, 60):.4g} m3/h"', 'air_at = "1000 rpm"']
    return ['fan = "fan"', f'mount = "{mount}"'] + ['screens = ["mesh"]'] * (rng.random() < 0.3)


def _places(rng, special, before, touches_case):
    """Lines that say where the air of a stack comes from and goes to; whether it is at the case and blows into it."""
    if INSIDE in special and not before:
        return ['inlet = { from = "case" }', 'out = "case"'], True, True
    if SHARED in special and not before:
        share = rng.choice((30, 45, 60, 80))
        return [f'inlet = {{ from = "case", share = "{share} %" }}'], True, False
    if FED in special and before:
        share = rng.choice((20, 40))
        return [f'inlet = {{ from = "{before[0][0]}", share = "{share} %" }}'], True, False
    if (FED in special or OWN in special) and not before:
        return ['out = "case"'], True, True
    from_room = [name for name, into in before if not into]
    way = rng.choice(("room", "room", "case", "into", "fed") if touches_case else ("room", "room", "fed"))
    plus = f', plus = "{rng.uniform(0, 4):.3g} K"' if rng.random() < 0.3 else ""
    if way == "case":
        return [f'inlet = {{ from = "case"{plus} }}'], True, False
    if way == "into":
        return [f'inlet = {{ from = "room"{plus} }}', 'out = "case"'], True, True
    if way == "fed" and from_room:
        share = rng.uniform(10, 50)
        return (
            [
                f'inlet = [{{ from = "{from_room[0]}", share = "{share:.3g} %"{plus} }}, {{ from = "room", share = "20 %" }}]'
            ],
            False,
            False,
        )
    return [f'inlet = {{ from = "room"{plus} }}'], False, False


def _stack(rng, id_, members, forms, places, special, before, touches_case):
    lines, at_case, into = _places(rng, special, before, touches_case)
    n = places[members[0]]
    mount = "push" if at_case and rng.random() < 0.5 else rng.choice(("push", "pull", "push-pull"))
    form = "speed" if any(forms[r] == "speed" for r in members) else ""
    lines += _stack_air(rng, form, n, mount)
    if len(members) > 1:
        lines.append("behind = [" + ", ".join(f'"{r}"' for r in members[1:]) + "]")
    own = OWN in special and not before
    if own or (not at_case and rng.random() < 0.25):
        lines.append(f'recirculated = "{rng.uniform(10, 40) if own else rng.uniform(1, 40):.3g} %"')
    speed = f'{id_} = "{rng.uniform(700, 2000):.4g} rpm"' if 'fan = "fan"' in lines else ""
    pairs = 'mount = "push-pull"' in lines  # a pair of which one stands is no matter of shares
    out = rng.randint(1, n - 1) if n > 1 and rng.random() < 0.15 and not pairs else 0
    text = "\n".join(("[[stack]]", f'id = "{id_}"', f'radiator = "{members[0]}"', *lines, ""))
    return text, speed, f"{id_} = {out}" if out else "", into


def _vents(rng):
    """Fans in and out, stated air and openings; their speeds and the fans that stand."""
    text, speeds, out = "", [], []
    for i in range(rng.randint(1, 3)):
        id_, kind = f"v{i}", rng.choice(("fan", "fan", "stated", "opening", "opening"))
        screens = 'screens = ["mesh"]\n' if rng.random() < 0.4 else ""
        head = f'[[vent]]\nid = "{id_}"\n'
        if kind == "opening":
            text += head + f'area = "{rng.uniform(10, 120):.4g} cm2"\n' + screens
            continue
        blows = f'blows = "{rng.choice(("in", "in", "out"))}"\n'
        n = rng.randint(1, 3)
        if kind == "stated":
            text += head + blows + f'air = "{rng.uniform(20, 120):.4g} m3/h"\n'
            continue
        text += head + blows + f'fan = "fan"\nfans = {n}\n' + screens
        speeds.append(f'{id_} = "{0 if rng.random() < 0.1 else rng.uniform(500, 2000):.4g} rpm"')
        if n > 1 and rng.random() < 0.2:
            out.append(f"{id_} = {rng.randint(1, n)}")
    return text, speeds, out


# ---------------------------------------------------------------- builds


def random_build(seed, *special, water="any"):
    """A build with 1 to 3 radiators; `special` are names from above, `water` is "ring" where all parts stand in one."""
    rng = Random(seed)
    count = rng.randint(2, 3) if FED in special else rng.randint(1, 3)
    rads = [f"r{i}" for i in range(count)]
    forms = {r: rng.choice(("points", "law", "geometry", "speed" if rng.random() < 0.3 else "law")) for r in rads}
    places = {r: rng.randint(1, 3) for r in rads}
    cards = usual_cards(rng) + fan_card(rng, "fan") + "".join(radiator_card(rng, r, places[r], forms[r]) for r in rads)
    blocks = [f"b{i}" for i in range(rng.randint(1, 2))]
    shape = "ring" if water == "ring" else rng.choice(("ring", "ring", "arms", "two"))
    base = rng.choice(('base = "water"', 'base = "propylene glycol"\nfraction = "30 vol%"'))
    text = f"format = 1\n[coolant]\n{base}\n" + "".join(part(r, r) for r in rads) + part("pump", "pump")
    text += "".join(part(b, "block") for b in blocks)
    order = rng.sample(rads + blocks, len(rads + blocks))
    if shape == "two" and count > 1 and len(blocks) > 1:
        text += part("pump2", "pump") + ring(["pump", rads[0], blocks[0]]) + ring(["pump2", *rads[1:], blocks[1]])
    elif shape == "arms":
        text += part("split", "tee") + part("join", "tee") + arms(rng, "pump", order)
    else:
        text += ring(["pump", *order])
    air, speeds, out = _air(rng, rads, forms, places, special)
    text += air + _state(rng, blocks, speeds, out)
    return Build(text, cards, f"random_build({', '.join(map(repr, (seed, *special)))}, water={water!r})")


def _air(rng, rads, forms, places, special):
    touches_case = bool(special) or rng.random() < 0.6
    text, speeds, out, before, waiting = "", [], [], [], list(rads)
    while waiting:
        together = 2 if len(waiting) > 1 and not special and rng.random() < 0.25 else 1
        members, waiting = waiting[:together], waiting[together:]
        id_ = f"s{len(before)}"
        stack, speed, still, into = _stack(rng, id_, members, forms, places, special, before, touches_case)
        text += stack
        before.append((id_, into))
        speeds += [speed] * bool(speed)
        out += [still] * bool(still)
    if touches_case:
        vents, more, still = _vents(rng)
        return text + vents, speeds + more, out + still
    return text, speeds, out


def _state(rng, blocks, speeds, out):
    heat = ", ".join(f'{b} = "{rng.uniform(20, 250):.4g} W"' for b in blocks)
    speeds = [f'pump = "{rng.uniform(40, 100):.4g} %"', *speeds]
    lines = [
        '[[state]]\nname = "load"',
        f'room = "{rng.uniform(10, 38):.4g} °C"',
        f'altitude = "{rng.choice((0, 0, 800, 2500))} m"',
        f'humidity = "{rng.uniform(10, 90):.3g} %"',
        f"heat = {{ {heat} }}",
        f"speed = {{ {', '.join(speeds)} }}",
        f"fans_out = {{ {', '.join(out)} }}" if out else "",
        f'case_heat = "{rng.uniform(0, 120):.4g} W"' if rng.random() < 0.8 else "",
    ]
    return "\n".join(line for line in lines if line) + "\n"


# ---------------------------------------------------------------- comparison


def answers(build):
    """False where a build is refused in so many words: its coolant boils away, its airflows fit no case or nearly stand."""
    try:
        build.solved()
    except NoBalance as error:
        return not any(words in str(error) for words in ("would boil away", "do not fit together", "nearly stands"))
    return True


def reversed_ways(solution):
    """Stacks and vents whose air goes backwards."""
    return {air.id for air in solution.air if air.backwards}


def deviation(solution: Solution, checked) -> dict[str, float]:
    """Worst distances: airflow and heat against the largest of their kind, the rest in K, Pa and of the strength."""
    flows = {air.id: air.air_flow_m3_s for air in solution.air if air.air_flow_m3_s is not None}
    most = max((abs(flow) for flow in flows.values()), default=0.0) or 1.0
    heat = max(sum(abs(radiator.heat_w) for radiator in solution.radiators), 1.0)
    rads = solution.radiators
    met = [(at, checked.coolant[port]) for port, at in solution.coolant_temp_k.items() if port in checked.coolant]
    case = solution.case_k is not None
    return {
        "air": max((abs(checked.air_flow[id_] - flow) / most for id_, flow in flows.items()), default=0.0),
        "inlet": max(abs(checked.air_in[r.part] - r.air_in_temp_k) for r in rads),
        "coolant": max(abs(a - b) for a, b in met),
        "heat": max(abs(checked.heat[r.part] - r.heat_w) / heat for r in rads),
        "strength": max(
            abs(checked.strength[r.part] / max(r.strength_w_k, 1e-9) - 1.0) for r in rads if r.strength_w_k
        ),
        "case": abs(checked.case_k - solution.case_k) if case else 0.0,
        "pressure": abs(checked.case_pa - solution.case_pa) if case else 0.0,
    }
