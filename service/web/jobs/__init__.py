"""Long planning work in the background: started by a form or the API, watched, called off, kept for a while.

A job's id is a hash of its kind, of the engine and of everything it depends on: who asks the same gets the same job
and the same answer, and what has changed since makes another id, so that a page never shows what no longer holds.
Results are validated models in memory; a restart forgets them, and asking again brings them back.

How to add one (`service/web/advice` and `service/web/pages/advice.py` do it):

1. The work, a function of a `Watch` that returns a model. The watch is the planning functions' `progress`, and its
   `stop` their `should_stop`; between them the work ends promptly when it is called off. What cannot be done for a
   reason that people should read is raised as `CannotBeDone`.

       def work(watch: Watch) -> Sizing:
           try:
               return size_field(day, progress=watch, should_stop=watch.stop)
           except NothingToSize as why:
               raise CannotBeDone(str(why)) from None

2. What it rests on: a `Task(kind, key, place, work)`. The key is any JSON value with all that bears on the answer;
   the place says which day (and entry) it belongs to, its page, and where the API has the result. Build it in one
   function of the store's state: page and API find the job again with `jobs().find(task)`.

3. The page. GET looks: `job = jobs().find(task)`, then `render_template(..., job=job)`; `job.result` is there once
   `job.state == "done"`. POST starts and sends back: `jobs().start(task, asker(day_id, entry_id))`, 303 to the page.
   In the template:

       {% import "jobs.html" as jobs with context %}
       {% block head %}{{ jobs.head(job) }}{% endblock %}
       {% if job and job.state == "done" %} ... {{ job.result }} ...
       {% else %}{{ jobs.state(job, url_for(".start", day_id=day_id), "Size the field", "About a minute.") }}{% endif %}

   With scripts the page follows the progress and shows itself anew; without, it reloads every few seconds. Watching
   and calling off have routes of their own (`pages/jobs.py`), guarded like the day or entry in the address.

4. The API. `GET /api/v1/days/<day>/sizing` answers `result_of(task)`, `POST` answers `started(task, ...)`: 202, the
   job in the body and its address in Location; `DELETE` there calls it off (`api/jobs.py`).

5. Tests give `Config(stand_ins={"sizing": lambda watch: SOME_MODEL})`: nothing is flown.
"""

from service.web.jobs.job import Cancelled, CannotBeDone, Job, Place, Task, Watch
from service.web.jobs.runner import Jobs, asker, jobs

__all__ = ["Cancelled", "CannotBeDone", "Job", "Jobs", "Place", "Task", "Watch", "asker", "jobs"]
