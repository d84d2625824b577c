"""Every address. A kitchen's pages begin with its key, a commission's with both."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from tierwright.web.api import views as programs
from tierwright.web.api.service import admit_all
from tierwright.web.bench.views import worker
from tierwright.web.books import clients
from tierwright.web.frame import board, changing, enquiry, reading, rework, versions
from tierwright.web.handover import urls as handover
from tierwright.web.look import urls as looked
from tierwright.web.money import urls as money
from tierwright.web.people import views as people
from tierwright.web.people.passwords import own_password
from tierwright.web.plans.views import take
from tierwright.web.prints import views as prints
from tierwright.web.shared import views as client
from tierwright.web.work.bakes.oven import own_oven
from tierwright.web.work.formulas.bringing_in import bring_in
from tierwright.web.work.keeping.trying import move_the_line
from tierwright.web.work.labels.ways import way
from tierwright.web.work.supports.placing import set_places
from tierwright.web.work.syrups.bowl import at_the_bowl
from tierwright.web.work.syrups.foam import at_the_foam
from tierwright.web.work.syrups.pot import at_the_pot
from tierwright.web.work.tiers.settling import settle

Routes = list[URLPattern | URLResolver]

commission: Routes = [
    path("", reading.whole, name="whole"),
    path("questions/", reading.questions, name="questions"),
    path("sheet/tiers/settle/", settle, name="settle"),
    path("sheet/formulas/bring-in/", bring_in, name="import"),
    path("sheet/bakes/oven/", own_oven, name="own-oven"),
    path("sheet/supports/places/", set_places, name="set-places"),
    path("sheet/syrups/bowl/", at_the_bowl, name="bowl"),
    path("sheet/syrups/foam/", at_the_foam, name="foam"),
    path("sheet/syrups/pot/", at_the_pot, name="pot"),
    path("sheet/keeping/try/", move_the_line, name="keeping-try"),
    path("sheet/labels/way/<str:cake>/<slug:allergen>/", way, name="label-way"),
    path("sheet/<slug:sheet>/", reading.sheet, name="sheet"),
    path("sheet/<slug:sheet>/change/<slug:part>/", changing.change, name="change"),
    path("working/<str:key>/", reading.working, name="working"),
    path("versions/", versions.versions, name="versions"),
    path("versions/compared/", versions.compared, name="compared"),
    path("versions/<int:number>/quote/", versions.quote, name="quote"),
    path("sheets.pdf", prints.pdf, name="pdf"),
    path("versions/<int:number>/sheets.pdf", prints.pdf, name="pdf-of"),
    path("versions/<int:number>/printing/", prints.printing, name="printing"),
    path("dossier.json", reading.data, name="data"),
    path("brief.json", reading.brief, name="brief"),
    path("bench/set-up/", include("tierwright.web.handover.urls")),
    path("bench/", include("tierwright.web.bench.urls")),
    *handover.papers,
    path("client/", include("tierwright.web.shared.urls")),
    path("look/", include("tierwright.web.look.urls")),
    *money.commission,
    path("kitchen/", rework.rework, name="rework"),
    path("client-of/", clients.client_of, name="client-of"),
    path("take/", take, name="week-take"),
    path("put-away/", board.put_away, name="put-away"),
    path("bring-back/", board.bring_back, name="bring-back"),
]
kitchen: Routes = [
    path("", board.board, name="board"),
    path("new/", enquiry.enquiry, name="enquiry"),
    path("units/", people.units, name="units"),
    path("people/", people.people, name="people"),
    path("people/<int:person>/", people.person, name="person"),
    path("record/", people.record, name="record"),
    path("books/", include("tierwright.web.books.urls")),
    path("jobs/", include("tierwright.web.jobs.urls")),
    path("printing/<int:job>/", prints.printing_paper, name="paper-printing"),
    path("week/", include("tierwright.web.plans.urls")),
    path("programs/", programs.tokens, name="api-tokens"),
    path("programs/<int:token>/withdraw/", programs.withdraw, name="api-withdraw"),
    *money.kitchen,
    path("c/<int:commission>/", include(commission)),
]
urlpatterns: Routes = [
    path("", people.home, name="home"),
    path("sign-in/", people.sign_in, name="sign-in"),
    path("sign-out/", people.sign_out, name="sign-out"),
    path("password/", own_password, name="password"),
    path("turn-on/", people.turn_on, name="turn-on"),
    path("turn-off/", people.turn_off, name="turn-off"),
    path("bench-worker.js", worker, name="bench-worker"),
    path("client/<str:token>/", client.shared, name="shared"),
    path("client/<str:token>/", include(money.shared)),
    path("client/<str:token>/", include(looked.shared)),
    path("client/<str:token>/answers/", client.reply, name="shared-reply"),
    path("api/", programs.described, name="api-described"),
    path("api/v1/", admit_all()),
    path("k/<int:kitchen>/", include(kitchen)),
]
handler403 = "tierwright.web.people.refusals.not_for_you"
handler404 = "tierwright.web.people.refusals.not_found"
