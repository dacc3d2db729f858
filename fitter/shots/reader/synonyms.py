"""General words of the trade for each channel: a new synonym is one entry here."""

from __future__ import annotations

from collections.abc import Mapping


def by_word(table: Mapping[str, str]) -> dict[str, str]:
    """Turn a table of words around: each word to the name under which it stands.

    Examples
    --------
    >>> by_word({"m": "metre, meter"})
    {'metre': 'm', 'meter': 'm'}
    """
    return {word: name for name, words in table.items() for word in words.split(", ")}


SYNONYMS: dict[str, str] = {
    "player": "player, player name, player code, golfer, golfer name, participant, name",
    "hand": "hand, handed, handedness, player hand, rh lh, dexterity",
    "club": "club, club name, club type, club used, club in hand",
    "build": "build, combination, head shaft, configuration, head and shaft, head / shaft, set up",
    "ball": "ball, ball type, ball model, ball name, ball used",
    "shot": ("shot, shot number, shot no, shot nr, shot id, no, nr, number, #, shot #, swing number, n"),
    "time": ("time, date, date time, datetime, timestamp, date and time, shot time, time of day, when, day"),
    "intent": "intent, effort, swing type, intention, swing intent",
    "place": "place, location, environment, where, indoor outdoor, venue",
    "note": "note, notes, comment, comments, remark, remarks, observation",
    "club_speed_mps": (
        "club speed, clubhead speed, club head speed, head speed, swing speed, club velocity, "
        "clubhead velocity, head velocity, chs"
    ),
    "speed_point": "speed point, club speed point, speed reference, speed reference point",
    "face_point": "face point, loft point, face reference, face reference point",
    "attack_deg": ("attack, attack angle, angle of attack, aoa, club attack, vertical path, angle attack"),
    "path_deg": ("path, club path, swing path, path angle, horizontal path, path direction, club path angle"),
    "face_deg": (
        "face, face angle, club face, face to target, club face angle, face direction, face at impact"
    ),
    "dynamic_loft_deg": (
        "dynamic loft, delivered loft, loft at impact, impact loft, effective loft, club loft at impact"
    ),
    "strike_toe_mm": (
        "strike toe, toe, impact toe, toe strike, horizontal impact, strike horizontal, "
        "strike across, impact location horizontal, impact offset, horizontal strike "
        "location, toe heel, heel toe, impact point horizontal, strike x"
    ),
    "strike_high_mm": (
        "strike high, high, impact high, strike height, impact height, vertical impact, "
        "strike vertical, impact location vertical, vertical strike location, high low, "
        "strike up, impact point vertical, strike y"
    ),
    "strike_source": "strike source, impact source, strike marks",
    "ball_speed_mps": (
        "ball speed, ball velocity, initial ball speed, initial velocity, initial speed, "
        "launch speed, ball start speed"
    ),
    "launch_deg": (
        "launch, launch angle, vertical launch, vertical launch angle, take off angle, take "
        "off, vertical angle, launch v, launch angle v, v launch, initial launch angle, ball "
        "launch, vla"
    ),
    "direction_deg": (
        "direction, launch direction, start direction, horizontal launch, horizontal launch "
        "angle, azimuth, horizontal angle, starting direction, start line, side angle, launch "
        "azimuth, launch h, launch angle h, h launch, initial direction, azimuth angle, hla"
    ),
    "spin_rpm": "spin, spin rate, total spin, ball spin, total spin rate",
    "spin_axis_deg": (
        "spin axis, axis, axis tilt, spin tilt, spin axis tilt, tilt, spin axis angle, tilt angle"
    ),
    "carry_m": "carry, carry distance, carry length, ball carry, carry flat",
    "total_m": "total, total distance, total length, overall distance, total dist, carry and roll",
    "offline_m": (
        "offline, side, total side, side distance, lateral, lateral deviation, deviation, "
        "offline distance, total offline, off line, side deviation, lateral distance, "
        "dispersion, distance off line, side total distance"
    ),
    "apex_m": (
        "apex, apex height, max height, maximum height, peak height, height, peak, ball height, peak apex"
    ),
    "descent_deg": ("descent, descent angle, angle of descent, landing angle, land angle, angle of landing"),
    "tee_mm": "tee, tee height, tee high",
    "ball_forward_mm": "ball forward, ball position, ball position forward",
}
"""Words for each channel, first choices first; order of words, case and punctuation do not matter."""

ABROAD: dict[str, str] = {
    "player": "spieler, joueur, jugador",
    "hand": "hand spieler, main, mano",
    "club": "schläger, bâton, palo",
    "shot": "schlag, schlag nr, coup, golpe",
    "time": "datum, zeit, uhrzeit, heure, fecha, hora",
    "note": "bemerkung, kommentar, remarque, commentaire, comentario, nota",
    "club_speed_mps": (
        "schlägerkopfgeschwindigkeit, schlägergeschwindigkeit, vitesse du club, vitesse de la "
        "tête de club, velocidad del palo, velocidad de la cabeza del palo"
    ),
    "attack_deg": "eintreffwinkel, angriffswinkel, angle d'attaque, ángulo de ataque",
    "path_deg": "schwungpfad, schwungbahn, chemin du club, trayectoria del palo",
    "face_deg": "schlagflächenstellung, schlagfläche, angle de la face, ángulo de la cara",
    "dynamic_loft_deg": "dynamischer loft, loft dynamique, loft dinámico",
    "ball_speed_mps": (
        "ballgeschwindigkeit, vitesse de balle, vitesse de la balle, velocidad de bola, velocidad de la bola"
    ),
    "launch_deg": (
        "abflugwinkel, startwinkel, angle de lancement, angle de décollage, ángulo de "
        "lanzamiento, ángulo de salida"
    ),
    "direction_deg": "abflugrichtung, startrichtung, direction de départ, dirección de salida",
    "spin_rpm": "spinrate, gesamtspin, taux de spin, spin total, tasa de spin, giro",
    "spin_axis_deg": "spinachse, drehachse, axe de spin, axe de rotation, eje de giro",
    "carry_m": "flugweite, carry weite, distance de vol, vuelo, distancia de vuelo",
    "total_m": "gesamtweite, gesamtlänge, distance totale, distancia total",
    "offline_m": "seitenabweichung, seitliche abweichung, déviation latérale, desviación lateral",
    "apex_m": "gipfelhöhe, scheitelhöhe, flughöhe, hauteur maximale, altura máxima",
    "descent_deg": "landewinkel, aufprallwinkel, angle d'atterrissage, ángulo de caída",
}
"""The same in German, French and Spanish, plain descriptive words."""

INGREDIENTS: dict[str, str] = {
    "back_spin_rpm": "back spin, backspin rate",
    "side_spin_rpm": "side spin, sidespin rate",
    "face_to_path_deg": "face to path, face path, face angle to path, club face to path",
    "carry_side_m": "carry side, side carry, carry offline, offline carry, carry deviation, side at landing",
    "heel_mm": "heel, strike heel, impact heel",
    "low_mm": "low, strike low, impact low",
    "ball_club_ratio": "ball club ratio, smash factor, smash, speed ratio, ratio, smash ratio",
    "spin_source": "spin source, spin type, spin measured, spin method, spin quality, spin reading type",
}
"""Words for what is no channel but serves to make or to check one."""

OTHERS = (
    "spin loft, swing plane, swing direction, swing plane vertical, low point, lie angle, dynamic "
    "lie, static loft, club loft, closure rate, closing rate, rate of closure, tempo, temperature, "
    "humidity, pressure, wind, wind speed, wind direction, altitude, curve, curve distance, run, "
    "roll, roll distance, score, target, target distance, hang time, flight time, time of flight, "
    "landing speed, impact speed, club mass, points, distance to pin, distance to target, session, "
    "session name, bay, device, software, air density, shaft, head, head type, tag, tags, category, "
    "shot type, shot shape, quality, confidence, lie, loft, hole, swing time, backswing time, "
    "downswing time, peak hand speed, hand speed, impact time, gender, age, handicap, email, id, "
    "file, version, units, spin decay, landing direction, ball compression, club length, grip, spin "
    "x, descent speed, launch time, ball mass, ball temperature"
)
"""Words that are known to be something else, which misspelt words are never taken for."""

AMBIGUOUS: dict[str, tuple[str, ...]] = {
    "speed": ("club_speed_mps", "ball_speed_mps"),
    "velocity": ("club_speed_mps", "ball_speed_mps"),
    "distance": ("carry_m", "total_m"),
    "length": ("carry_m", "total_m"),
    "angle": ("launch_deg", "attack_deg"),
    "club angle": ("attack_deg", "path_deg", "face_deg"),
    "ball angle": ("launch_deg", "direction_deg"),
    "vertical": ("launch_deg", "strike_high_mm"),
    "horizontal": ("direction_deg", "strike_toe_mm"),
}
"""Words that could be several channels: they are never guessed."""

GROUPS = frozenset(
    {"ball", "club", "flight", "impact", "result", "results", "data", "swing", "shot", "clubhead", "head"}
)
"""First words that only say where a value belongs, as in 'ball launch angle'."""

ABBREVIATIONS: dict[str, str] = {
    "speed": "spd",
    "velocity": "vel",
    "angle": "ang",
    "direction": "dir",
    "distance": "dist, distances",
    "vertical": "vert",
    "horizontal": "horiz, hor, horz",
    "launch": "lnch",
    "average": "avg",
    "estimated": "est",
    "calculated": "calc",
    "number": "num",
    "dynamic": "dyn",
    "attack": "att",
    "maximum": "max",
    "descent": "desc",
    "club head": "clubhead",
    "club face": "clubface",
    "club speed": "clubspeed",
    "club path": "clubpath",
    "ball speed": "ballspeed",
    "back spin": "backspin",
    "side spin": "sidespin",
    "take off": "takeoff",
    "comment": "comments",
    "note": "notes",
    "remark": "remarks",
    "height": "hgt, ht",
    "initial": "init",
    "total": "tot",
    "rotation": "rot",
    "position": "pos",
    "deg": "degrees",
}
"""Single words, each with its short forms and plurals."""

UNIT_WORDS: dict[str, str] = {
    "m/s": "m/sec, m/second, ms-1, m s-1, m s^-1, m·s-1, metres per second, meters per second, ms",
    "mph": "mi/h, miles per hour, miles/h, miles/hour, m.p.h",
    "km/h": "km/hr, km/hour, kilometres per hour, kilometers per hour",
    "rpm": "rev/min, revs/min, r/min, 1/min, min-1, u/min, tr/min, revolutions per minute",
    "rps": "rev/s",
    "krpm": "k rpm, 1000 rpm, x1000 rpm, rpm x1000, rpm/1000, rpm x 1000, thousand rpm",
    "deg": "degree, degs, grad, º",
    "rad": "radians",
    "m": "metre, meter, mtr, mtrs, mts",
    "yd": "y, ya",
    "ft": "foot, '",
    "in": 'inches, ins, "',
    "mm": "millimetre, millimeter, millimetres, millimeters",
    "cm": "centimetres, centimeters",
}
"""Names of `fitter.base.units.UNITS`, each with its other spellings."""

HANDS = by_word(
    {
        "right": "right, r, rh, right hand, right handed, righty, rechts",
        "left": "left, l, lh, left hand, left handed, lefty, links",
    }
)
"""Words for a hand."""

INTENTS = by_word(
    {
        "course": "course, normal, stock, smooth, fairway",
        "full": "full, max, maximum, all out, hard",
    }
)
"""Words for what a swing was meant to be."""

PLACES = by_word(
    {
        "indoor": "indoor, indoors, inside, net, bay, studio",
        "outdoor": "outdoor, outdoors, outside, range",
    }
)
"""Words for where the balls were hit."""
