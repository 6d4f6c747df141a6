// The worktable: everything is put in its place, then the cloth is fetched.

import { startDropping } from "/page/add-dialogs.js";
import { listenToCloth } from "/page/cloth-input.js";
import { startCloth } from "/page/cloth.js";
import { startLine } from "/page/line.js";
import { startViewOptions } from "/page/view-options.js";
import { startNotebook } from "/page/notebook.js";
import { startShelf } from "/page/shelf.js";
import { startSync } from "/page/sync.js";
import { startTasks } from "/page/tasks.js";
import { startHeader } from "/page/header.js";
import { loadTools } from "/page/strokes.js";

startHeader();
startLine();
startCloth();
listenToCloth();
startViewOptions();
startShelf();
startNotebook();
startDropping();
startTasks();
loadTools();
startSync();
