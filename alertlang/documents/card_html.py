"""The card as one HTML file."""

from __future__ import annotations

from alertlang.documents.page import About, environment, page
from alertlang.groundtest.card import Card, seconds
from alertlang.groundtest.words import SIGN, TITLE, how, numbers


def about(card: Card) -> About:
    """The head of the card."""
    return About(TITLE, card.name, card.version, card.digest, numbers(card))


_STYLE = """
.set { font-weight: 600; } .signed td { height: 9mm; } col.what { width: 38%; }
.box { display: inline-block; width: 3mm; height: 3mm; border: 0.3mm solid #000; margin: 0 1.5mm 0 0; }
.one { display: inline-block; max-width: 100%; margin-right: 6mm; overflow-wrap: anywhere; }
.step h2 { border-top: 0.6mm solid #000; padding-top: 1mm; }
col.line { width: 11mm; } col.after { width: 17mm; } col.seen { width: 24mm; } col.sign { width: 19mm; }
.why { font-size: 8pt; color: #333; } .early { font-style: italic; }
"""

_BODY = """
<section>{% for one in how %}<p>{{ one }}</p>
{% endfor %}</section>
<section>
<h2>To sign</h2>
<table><colgroup><col class="what"><col></colgroup><tbody class="signed">
{% for one in sign %}<tr><td>{{ one }}</td><td></td></tr>
{% endfor %}</tbody></table>
<h2>The stimuli</h2>
<table><colgroup><col class="what"><col></colgroup><tbody>
{% for name, called in card.names %}<tr><td>{{ name }}</td><td>{{ called }}</td></tr>
{% endfor %}</tbody></table>
</section>
{% for step in card.steps %}
<section class="step" id="step-{{ step.number }}">
<h2>Step {{ step.number }}, {{ seconds(step.hold) }} long\
{% if step.moves %}: move{% elif step.press is none %}: set{% endif %}</h2>
<p class="set">{% for one in step.changes %}<span class="one"><span class="box"></span>{{ one }}</span> \
{% endfor %}</p>
<table>
<colgroup><col class="line"><col class="after"><col><col><col class="seen"><col class="sign"></colgroup>
<thead><tr><th>line</th><th>look after</th><th>look at</th><th>must be seen</th><th>seen</th>\
<th>initials</th></tr></thead>
<tbody>
{% for one in step.expected %}
<tr{% if one.early %} class="early"{% endif %}><td>{{ one.number }}</td>\
<td>{{ seconds(one.after) }}</td><td>{{ one.item }}</td>\
<td>{% if one.early %}still {% endif %}{{ one.seen }}</td><td></td><td></td></tr>
{% endfor %}
</tbody>
</table>
<p class="why">shows: {{ step.shows | join("; ") }}</p>
</section>
{% endfor %}
{% if card.impossible %}
<h2>Cannot be shown (proved, under the assumptions of the rules)</h2>
<ul>{% for one in card.impossible %}<li>{{ one }}</li>
{% endfor %}</ul>
{% endif %}
{% if card.open %}
<h2>Not shown by this card: test it in another way</h2>
<ul>{% for one in card.open %}<li>{{ one }}</li>
{% endfor %}</ul>
{% endif %}
"""


def as_html(card: Card) -> str:
    """One self-contained page."""
    body = environment().from_string(_BODY).render(card=card, how=how(card), sign=SIGN, seconds=seconds)
    return page(about(card), body, style=_STYLE)
