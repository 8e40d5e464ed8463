"""Works out maps and poses of invented cards with OpenCV and numpy; see README.md. Writes expected.json to standard output."""

import json

import cv2
import numpy as np

WIDTH, HEIGHT = 1600, 1200
DIAGONAL = float(np.hypot(WIDTH, HEIGHT))
MIDDLE = [WIDTH / 2, HEIGHT / 2]
FOCAL = 0.59 * DIAGONAL
K = np.array([[FOCAL, 0, MIDDLE[0]], [0, FOCAL, MIDDLE[1]], [0, 0, 1.0]])

# The squares of the finder patterns: origins of both codes, mm, module 1.8 mm, 21 modules.
CODES = [(9.0, 9.0), (210 - 9 - 37.8, 139 - 9 - 37.8)]


def corners():
    points = []
    for left, top in CODES:
        for across, down in [(0, 0), (14, 0), (0, 14)]:
            for inset, side in [(0, 7), (1, 5), (2, 3)]:
                x, y = left + (across + inset) * 1.8, top + (down + inset) * 1.8
                s = side * 1.8
                points += [(x, y), (x + s, y), (x + s, y + s), (x, y + s)]
    return np.array(points)


def look(tilt_deg, toward_deg, roll_deg, distance):
    """A camera that looks at the middle of the card; x right, y down, z away from the viewer."""
    tilt, toward, roll = np.radians([tilt_deg, toward_deg, roll_deg])
    axis = np.array([-np.sin(toward), np.cos(toward), 0]) * tilt
    turn = cv2.Rodrigues(np.array([0, 0, roll]))[0] @ cv2.Rodrigues(axis)[0]
    shift = np.array([0, 0, distance]) - turn @ np.array([105.0, 69.5, 0])
    return turn, shift


def lift(points, height):
    return np.column_stack([points, np.full(len(points), -height)])


def project(points, turn, shift):
    seen, _ = cv2.projectPoints(points, cv2.Rodrigues(turn)[0], shift, K, None)
    return seen.reshape(-1, 2)


def case(name, view, noise_px, dice):
    turn, shift = look(*view)
    card = corners()
    seen = project(lift(card, 0), turn, shift) + dice.normal(0, noise_px, (len(card), 2))
    # Method 0: all points, DLT and then Levenberg-Marquardt over distances in the picture.
    map_h, _ = cv2.findHomography(card, seen, 0)
    solved, rvec, tvec = cv2.solvePnP(lift(card, 0), seen, K, None, flags=cv2.SOLVEPNP_ITERATIVE)
    assert solved
    found = cv2.Rodrigues(rvec)[0]
    heads = np.array([[-30.0, 20.0], [105.0, 69.5], [230.0, 150.0], [60.0, 200.0], [180.0, -60.0]])
    heights = [0.0, 5.0, 12.5, 20.0, 8.0]
    taps = [project(lift(np.array([p]), h), turn, shift)[0] for p, h in zip(heads, heights)]
    eye = -found.T @ tvec.ravel()
    back = np.linalg.inv(K)
    places = []
    for tap, height in zip(taps, heights):
        ray = found.T @ (back @ np.array([tap[0], tap[1], 1.0]))
        way = (-height - eye[2]) / ray[2]
        places.append((eye + way * ray)[:2].tolist())
    return {
        "name": name,
        "noise_px": noise_px,
        "card_mm": card.tolist(),
        "picture_px": seen.tolist(),
        "map": (map_h / map_h[2, 2]).ravel().tolist(),
        "tilt_deg": float(np.degrees(np.arccos(abs(found[2, 2])))),
        "distance_mm": float(abs(eye[2])),
        "taps_px": [t.tolist() for t in taps],
        "heights_mm": heights,
        "places_mm": places,
    }


dice = np.random.default_rng(20260)
cases = [
    case("from above", (0.0, 0.0, 0.0, 350.0), 0.0, dice),
    case("tilted", (15.0, 40.0, 120.0, 350.0), 0.0, dice),
    case("steep", (30.0, 200.0, -70.0, 420.0), 0.0, dice),
    case("tilted, noise", (12.0, 300.0, 30.0, 330.0), 0.2, dice),
]
print(json.dumps({"opencv": cv2.__version__, "numpy": np.__version__, "width": WIDTH, "height": HEIGHT, "cases": cases}, indent=1))
