// The worktable: everything is put in its place, then the cloth is fetched.

import { dropAnywhere } from "/page/beginning.js";
import { layCloth } from "/page/cloth.js";
import { stringLine } from "/page/line.js";
import { setLooks } from "/page/looks.js";
import { openNotebook } from "/page/notebook.js";
import { fillShelf } from "/page/shelf.js";
import { begin } from "/page/table.js";
import { hearTasks } from "/page/tasks.js";
import { setTop } from "/page/top.js";
import { layOutTools } from "/page/touch.js";

setTop();
stringLine();
layCloth();
setLooks();
fillShelf();
openNotebook();
dropAnywhere();
hearTasks();
layOutTools();
begin();
