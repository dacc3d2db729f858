"""General words of the trade for each channel: a new synonym is one entry here."""

from __future__ import annotations

from fitter.shots.session import Channel

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

INGREDIENTS: dict[str, tuple[Channel, str]] = {
    "back_spin_rpm": (
        Channel("back_spin_rpm", "start", "back spin", "spin", "rpm"),
        "back spin, backspin rate",
    ),
    "side_spin_rpm": (
        Channel("side_spin_rpm", "start", "side spin", "spin", "rpm", mirrored=True),
        "side spin, sidespin rate",
    ),
    "face_to_path_deg": (
        Channel("face_to_path_deg", "swing", "face to path", "angle", "deg", mirrored=True),
        "face to path, face path, face angle to path, club face to path",
    ),
    "carry_side_m": (
        Channel("carry_side_m", "finish", "carry side", "length", "m", mirrored=True),
        "carry side, side carry, carry offline, offline carry, carry deviation, side at landing",
    ),
    "heel_mm": (Channel("heel_mm", "strike", "heel", "length", "mm"), "heel, strike heel, impact heel"),
    "low_mm": (Channel("low_mm", "strike", "low", "length", "mm"), "low, strike low, impact low"),
    "ball_club_ratio": (
        Channel("ball_club_ratio", "start", "ball/club ratio", "ratio", ""),
        "ball club ratio, smash factor, smash, speed ratio, ratio, smash ratio",
    ),
    "spin_source": (
        Channel("spin_source", "start", "spin source"),
        "spin source, spin type, spin measured, spin method, spin quality, spin reading type",
    ),
}
"""What is no channel but serves to make or to check one."""

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
"""Words that are known to be something else, so that fuzzy matching keeps its hands off them."""

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

ABBREVIATIONS = {
    "spd": "speed",
    "vel": "velocity",
    "ang": "angle",
    "dir": "direction",
    "dist": "distance",
    "vert": "vertical",
    "horiz": "horizontal",
    "hor": "horizontal",
    "horz": "horizontal",
    "lnch": "launch",
    "avg": "average",
    "est": "estimated",
    "calc": "calculated",
    "num": "number",
    "dyn": "dynamic",
    "att": "attack",
    "max": "maximum",
    "desc": "descent",
    "clubhead": "club head",
    "clubface": "club face",
    "clubspeed": "club speed",
    "clubpath": "club path",
    "ballspeed": "ball speed",
    "backspin": "back spin",
    "sidespin": "side spin",
    "takeoff": "take off",
    "comments": "comment",
    "notes": "note",
    "remarks": "remark",
    "distances": "distance",
    "hgt": "height",
    "ht": "height",
    "init": "initial",
    "tot": "total",
    "rot": "rotation",
    "pos": "position",
    "degrees": "deg",
}
"""Short forms of single words."""

UNIT_WORDS: dict[str, str] = {
    "m/sec": "m/s",
    "m/second": "m/s",
    "ms-1": "m/s",
    "m s-1": "m/s",
    "m s^-1": "m/s",
    "m·s-1": "m/s",
    "metres per second": "m/s",
    "meters per second": "m/s",
    "ms": "m/s",
    "mi/h": "mph",
    "miles per hour": "mph",
    "miles/h": "mph",
    "miles/hour": "mph",
    "m.p.h": "mph",
    "km/hr": "km/h",
    "km/hour": "km/h",
    "kilometres per hour": "km/h",
    "kilometers per hour": "km/h",
    "rev/min": "rpm",
    "revs/min": "rpm",
    "r/min": "rpm",
    "1/min": "rpm",
    "min-1": "rpm",
    "u/min": "rpm",
    "tr/min": "rpm",
    "revolutions per minute": "rpm",
    "rev/s": "rps",
    "degree": "deg",
    "degs": "deg",
    "grad": "deg",
    "º": "deg",
    "radians": "rad",
    "metre": "m",
    "meter": "m",
    "mtr": "m",
    "mtrs": "m",
    "mts": "m",
    "y": "yd",
    "ya": "yd",
    "foot": "ft",
    "'": "ft",
    "inches": "in",
    "ins": "in",
    '"': "in",
    "millimetre": "mm",
    "millimeter": "mm",
    "millimetres": "mm",
    "millimeters": "mm",
    "centimetres": "cm",
    "centimeters": "cm",
}
"""Other spellings of units, to a name of `fitter.base.units.UNITS`."""
