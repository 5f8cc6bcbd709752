"""Other headings that people use for the columns of a list, by column.

English first, then German, French and Spanish for the main ones; common practice, no source.
Words are written without case, accents and signs, abbreviations spelled out (``ABBREVIATIONS``).
"""

from __future__ import annotations

from collections.abc import Mapping

ABBREVIATIONS: Mapping[str, str] = {
    **dict.fromkeys(("no", "nr", "num", "nbr", "#", "n", "numero", "nummer", "id"), "number"),
    **dict.fromkeys(("oper", "op", "opr", "working", "norm", "service press"), "operating"),
    **dict.fromkeys(("press", "pres", "prs"), "pressure"),
    **dict.fromkeys(("temp", "tmp"), "temperature"),
    **dict.fromkeys(("insul", "ins", "insulating", "lagging"), "insulation"),
    **dict.fromkeys(("thk", "thick", "thickn", "th"), "thickness"),
    **dict.fromkeys(("dir", "dirn"), "direction"),
    **dict.fromkeys(("dwg", "drg"), "drawing"),
    **dict.fromkeys(("equip", "eqpt", "eq"), "equipment"),
    **dict.fromkeys(("dia", "diam"), "diameter"),
    **dict.fromkeys(("max", "maximum"), "max"),
    **dict.fromkeys(("nom",), "nominal"),
    **dict.fromkeys(("desc", "descr"), "description"),
    **dict.fromkeys(("pos",), "position"),
    **dict.fromkeys(("svc", "serv"), "service"),
    **dict.fromkeys(("sched", "sch"), "schedule"),
    **dict.fromkeys(("circ", "circum"), "circumference"),
    **dict.fromkeys(("mtl", "matl"), "material"),
    **dict.fromkeys(("emer", "emerg"), "emergency"),
}
# A word may be listed for several columns: the rest of the sheet and the cells decide.
SYNONYMS: Mapping[str, str] = {
    "line": "line number|line tag|pipe number|piping line number|line designation|leitung"
    "|leitungsnummer|rohrleitung|rohrleitungsnummer|number de ligne|ligne|number de linea|linea"
    "|tag number|tag|number",
    "kind": "kind of marker|marker type|item type|type|art|typ|tipo",
    "contents": "fluid|medium|media|commodity|substance|product|refrigerant|line contents"
    "|durchflussstoff|fluide|contenu|produit|fluido|contenido|medio",
    "service": "service code|line service|abbreviation|code|system|dienst|servicio",
    "meaning": "service meaning|service description|service name",
    "state": "phase|fluid state|physical state|zustand|aggregatzustand|etat|estado|fase",
    "pressure_psig": "operating pressure|max operating pressure|normal operating pressure"
    "|max pressure|line pressure|max normal operating pressure|druck|betriebsdruck|pression"
    "|pression de service|presion|presion de operacion|presion de trabajo|psig",
    "level": "pressure level|hi lo|high low|pressure class h l",
    "operating_f": "operating temperature|temperature|line temperature|fluid temperature"
    "|process temperature|normal operating temperature|betriebstemperatur|temperatur"
    "|temperature de service|temperatura|temperatura de operacion",
    "flow": "flow direction|direction|direction of flow|arrow|arrow direction|flussrichtung"
    "|fliessrichtung|richtung|sens|sens d ecoulement|direccion|sentido|direccion de flujo",
    "run": "orientation|pipe run|lage|ausrichtung|orientacion",
    "side": "marker sides|read from sides",
    "pipe": "pipe size|size|line size|nominal size|nominal pipe size|nps|dn|pipe diameter|diameter"
    "|nominal diameter|nennweite|rohrgroesse|rohrgrosse|durchmesser|diametre|diametre nominal"
    "|taille|diametro|diametro nominal|tamano",
    "covering_in": "insulation|insulation thickness|covering thickness|thickness|isolierung"
    "|dammung|daemmung|dammdicke|dammstarke|isolierdicke|isolierstarke|isolation"
    "|epaisseur|epaisseur isolation|epaisseur d isolation|epaisseur isolant|calorifuge"
    "|aislamiento|espesor|espesor de aislamiento|espesor aislamiento",
    "od_in": "outside diameter|outer diameter|od over insulation|finished od|overall diameter"
    "|aussendurchmesser|diametre exterieur|diametro exterior",
    "girth_in": "circumference|umfang|circonference|circunferencia|pi tape",
    "environment": "indoor outdoor|in out|exposure|umgebung|environnement|ambiente|entorno"
    "|location type",
    "surface_f": "surface temperature|jacket temperature|skin temperature|oberflachentemperatur"
    "|temperature de surface|temperatura superficial",
    "applied_f": "application temperature|installation temperature|applied at",
    "frost_in": "frost thickness|frost|ice thickness",
    "washdown": "wash down|hose down",
    "food_zone": "food area|food",
    "viewing_ft": "viewing distance|reading distance|viewing",
    "straight_in": "straight length|straight run",
    "paint": "pipe color|jacket color|paint color|pipe paint",
    "tag": "tag number|valve number|valve tag|valve tag number|valve|equipment number"
    "|equipment tag|vessel number|machine number|asset number|ventil|ventilnummer|ventil number"
    "|armatur|armaturennummer|vanne|number de vanne|number de valvula|valvula|repere|etiqueta"
    "|number",
    "function": "valve function|description|purpose|duty|valve service|funktion|fonction|funcion"
    "|beschreibung|descripcion",
    "legend": "equipment name|equipment|equipment description|vessel name|vessel|machine|name"
    "|marker text|wording|text|description|bezeichnung|designation|nom|nombre|equipo|equipement",
    "valve_size": "size|valve diameter|inlet size|inlet x outlet|nennweite|dn|nps|diametre"
    "|diametro|taille|tamano",
    "normal_position": "normal|normal position|normally|position|normal operating position|no nc"
    "|open closed|status|stellung|normalstellung|position normale|posicion normal|posicion",
    "emergency": "emergency valve|emergency shutoff|notfall|urgence|emergencia|emergency stop",
    "set_pressure_psig": "set pressure|relief set pressure|relief setting|set point",
    "replace_by": "replace by|replacement due|replacement date|relief valve due",
    "lockout": "loto|lockout point|lock out|isolation point",
    "drawing": "p id|pid|pnid|p and id|drawing number|p id number|pid number|pid drawing|p id sheet"
    "|p id drawing|pid sheet|zeichnung|r i|ri schema|schema|plano|dibujo",
    "from": "origin|from equipment|start|von|de|desde",
    "to": "destination|to equipment|end|nach|vers|hacia|hasta",
    "area": "room|zone|building|space|bereich|raum|salle|local|zona|sala|cuarto",
    "location": "where|grid|column line|ort|standort|emplacement|ubicacion",
    "qty": "quantity|count|number of markers|markers|labels|number of labels|menge|anzahl|stuck"
    "|quantite|nombre|cantidad|pcs|pieces|each|ea",
    "note": "notes|remarks|remark|comment|comments|bemerkung|bemerkungen|anmerkung|remarque"
    "|remarques|observations|observaciones|notas|nota|comentarios",
    "length_ft": "run length|pipe length|lineal feet|linear feet|lf|lange|rohrlange|longueur"
    "|longitud",
    "height_ft": "mounting height|pipe height",
    "turns": "elbows|ells|bends",
    "branches": "tees|branch",
    "penetrations": "walls|wall penetrations",
    "letter_in": "letter height",
    "neighbor_letter_in": "same letter",
    "neighbor_height_in": "same height",
    "neighbor_length_in": "same length",
}
# Columns that plants keep but markers do not need; each gets one note.
LEFT_OUT: Mapping[str, str] = {
    "design pressure": "the operating pressure decides the level",
    "design temperature": "the operating temperature is what the surface follows from",
    "schedule": "the outside diameter is the same in every schedule",
    "wall thickness": "the outside diameter decides",
    **dict.fromkeys(
        (
            "insulation type",
            "insulation material",
            "material",
            "pipe material",
            "spec",
            "pipe spec",
        ),
        "no marker needs it",
    ),
    **dict.fromkeys(
        ("manufacturer", "model", "serial number", "make", "rev", "revision", "item", "valve type"),
        "no marker needs it",
    ),
    **dict.fromkeys(("set pressure", "weight", "flow rate", "date", "by"), "no marker needs it"),
}
# Headings that say what the rows of a sheet are.
KIND_HINTS: Mapping[str, tuple[str, ...]] = {
    "valve": ("valve", "ventil", "armatur", "armaturennummer", "ventilnummer", "vanne", "valvula"),
    "equipment": ("equipment", "vessel", "machine", "equipo", "equipement", "apparat", "asset"),
    "pipe": ("line", "leitung", "leitungsnummer", "ligne", "linea", "rohrleitung", "pipe"),
}
